// A proof from options to files: settings checked, rows chosen, faults tried, table and files written, one verdict for all.
import { createHash } from "node:crypto";
import { readFileSync } from "node:fs";
import { resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { ROW_IDS } from "#host/bench/prove/catalogue.ts";
import { flowPoint } from "#host/bench/prove/point.ts";
import type { Finding } from "#host/bench/prove/prove.ts";
import { proofSettings } from "#host/bench/prove/settings.ts";
import { EXIT } from "#host/errors/exit.ts";
import { Failure } from "#host/errors/failure.ts";
import { proofJunit } from "#host/report/proof/junit.ts";
import { type ProofOrigin, proofPage } from "#host/report/proof/page.ts";
import { proofLines } from "#host/report/proof/text.ts";
import { unwiseLines } from "#host/report/proof/unwise.ts";
import { type ProofVerdict, verdictOf } from "#host/report/proof/verdict.ts";
import { NOTHING_PROVED } from "#host/report/proof/words.ts";
import { cautionLines } from "#host/report/rehearsal/text.ts";
import { formatSettings } from "#host/settings/write.ts";
import { requireNew, requireOutputs, writeNew, writeOver } from "../files.ts";
import { packageFile } from "../package-file.ts";
import type { Result, Session } from "../session.ts";
import { type GoodFile, goodFile } from "../settings/settings-file.ts";
import { TOOL_VERSION } from "../version.ts";
import { proveRows } from "./proof-workers.ts";

/** Options of `headgate prove`. */
export interface ProveOptions {
  readonly only?: string[] | undefined;
  readonly settings?: string | undefined;
  readonly junit?: string | undefined;
  readonly html?: string | undefined;
  readonly workers?: number | undefined;
}

const NO_LEVEL = "Tried on the emulated board; homemade gear with no certified safety level.";

function released(file: string): Uint8Array {
  return readFileSync(packageFile("firmware", "image", file));
}

/** Rows asked for, in any letter case. Fails with `usage` on one that is not in the catalogue. */
function rowsOf(only: readonly string[] | undefined): string[] | undefined {
  const ids = only?.flatMap((text) => text.toUpperCase().split(","));
  const unknown = ids?.find((id) => !ROW_IDS.includes(id));
  if (unknown !== undefined)
    throw new Failure("usage", {
      what: `there is no interlock ${unknown}`,
      expected: `one of ${ROW_IDS.join(", ")}`,
    });
  return ids;
}

/** Settings that can flow somewhere. Fails with `bad-settings` when they cannot. */
function provable(session: Session, path: string | undefined): GoodFile {
  const good = goodFile(session, path ?? packageFile("host", "demo", "proving-bench.yaml"));
  try {
    flowPoint(proofSettings(good.document));
  } catch (cause) {
    const what = `${good.file}: ${cause instanceof Error ? cause.message : String(cause)}`;
    throw new Failure("bad-settings", { what, cause });
  }
  return good;
}

async function run(
  session: Session,
  good: GoodFile,
  only: string[] | undefined,
  workers?: number,
): Promise<Finding[]> {
  session.talk("emulated board: released firmware image, every fault at the pins");
  const show = session.progress("prove");
  const findings = await proveRows({
    document: good.document,
    image: released("headgate.uf2"),
    elf: released("headgate.elf"),
    only,
    workers,
    onProgress: show.update,
    signal: session.io.signal,
  });
  show.end();
  return findings;
}

/** What a proof says of the settings and the released image that it was made with. */
export function proofOrigin(
  session: Session,
  good: Pick<GoodFile, "file" | "hash" | "cautions" | "document">,
): ProofOrigin {
  return {
    cautions: good.cautions.map(({ caution, field, text }) => ({ caution, field, text })),
    settingsName: good.file.split(/[\\/]/).at(-1) ?? good.file,
    settingsHash: good.hash,
    settingsText: formatSettings(good.document),
    imageVersion: TOOL_VERSION,
    imageHash: createHash("sha256").update(released("headgate.uf2")).digest("hex"),
    date: `${session.io.now().toISOString().slice(0, 16).replace("T", " ")} UTC`,
  };
}

/** Writes the files asked for; lines that say where they are. A certificate is a record, and no other ever takes its place. */
function write(
  session: Session,
  options: ProveOptions,
  findings: readonly Finding[],
  verdict: ProofVerdict,
  origin: ProofOrigin,
): string[] {
  const files = [
    [options.junit, "JUnit", writeOver, () => proofJunit(findings, verdict)],
    [options.html, "page", writeNew, () => proofPage(findings, verdict, origin)],
  ] as const;
  return files.flatMap(([path, what, writeTo, make]) => {
    if (path === undefined) return [];
    writeTo(session.io, path, make());
    return [`${what}: ${pathToFileURL(resolve(session.io.cwd, path)).href}`];
  });
}

/** Runs it. Exit 0 only when every fault that the settings fit was shown and passed, and every row that was asked for is fitted. */
export async function proveFile(session: Session, options: ProveOptions): Promise<Result> {
  session.verdict = NOTHING_PROVED;
  const only = rowsOf(options.only);
  requireOutputs(session.io, [options.junit]);
  if (options.html !== undefined) requireNew(session.io, options.html);
  const good = provable(session, options.settings);
  const findings = await run(session, good, only, options.workers);
  const origin = proofOrigin(session, good);
  const verdict = verdictOf(findings, only);
  const written = write(session, options, findings, verdict, origin);
  session.verdict = verdict.sentence;
  const { rows, notFitted, notChosen, notShown } = verdict;
  const proved = verdict.word === "PROVED";
  return {
    exit: proved ? EXIT.yes : EXIT.no,
    data: {
      ...origin,
      only: only ?? null,
      emulated: true,
      certified: false,
      outcome: verdict.word,
      notFitted,
      notChosen,
      notShown,
      rows,
      findings,
    },
    lines: [
      ...proofLines(findings, verdict, session.width, session.paint),
      ...session.wrapped(
        `settings ${origin.settingsName} ${origin.settingsHash}, image ${origin.imageHash.slice(0, 16)}`,
        NO_LEVEL,
      ),
      ...written,
      ...unwiseLines(origin.cautions, session.width),
      "",
      ...cautionLines(session.width),
      "",
      ...session
        .verdictLines(verdict.sentence)
        .map((line) => (proved ? session.paint.good(line) : session.paint.bad(line))),
    ],
  };
}
