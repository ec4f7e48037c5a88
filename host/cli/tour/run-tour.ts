// A tour from beginning to end: six steps on the emulated board, their pages in one folder, and one screen that says what was shown.
import { mkdirSync } from "node:fs";
import { join, resolve } from "node:path";
import type { Finding } from "#host/bench/prove/prove.ts";
import { EXIT } from "#host/errors/exit.ts";
import { planPage } from "#host/report/plan/page.ts";
import { proofPage } from "#host/report/proof/page.ts";
import { verdictOf } from "#host/report/proof/verdict.ts";
import { reviewPage } from "#host/report/review/page.ts";
import { checkSettings } from "#host/settings/check.ts";
import { formatSettings } from "#host/settings/write.ts";
import { loadedBoard } from "../bench/controllers.ts";
import { proofOrigin } from "../bench/run-proof.ts";
import { fileFailure, writeOver } from "../files.ts";
import { openedRun } from "../review/opened.ts";
import type { Result, Session } from "../session.ts";
import { endScreen, FILES, numbersOf, shutUs } from "./screen.ts";
import { driveStep, type Planned, planStep, proveStep, pullStep, SHORT_SET } from "./steps.ts";

type Put = (file: keyof typeof FILES, content: string | Uint8Array) => void;

/** Makes the folder; gives what writes a tour's file into it. */
function folderFor(session: Session, out: string): Put {
  const folder = resolve(session.io.cwd, out);
  try {
    mkdirSync(folder, { recursive: true });
  } catch (thrown) {
    throw fileFailure(out, thrown);
  }
  return (file, content) => writeOver(session.io, join(folder, FILES[file]), content);
}

/** Verdict and page of the short set. */
export function proofOf(session: Session, { settings, hash }: Planned, findings: readonly Finding[]) {
  const verdict = verdictOf(findings, SHORT_SET);
  const { cautions } = checkSettings(formatSettings(settings));
  const origin = proofOrigin(session, { file: FILES.settings, hash, cautions, document: settings });
  return { verdict, page: proofPage(findings, verdict, origin) };
}

/** Runs it. Exit 1 when an interlock was not proved, no stage flowed, or a pin stayed high. */
export async function runTour(session: Session, out: string): Promise<Result> {
  const put = folderFor(session, out);
  const say = (step: string): void => session.talk(session.paint.strong(step));
  say("1 of 6  plan: the demo car, from its file to stages, jets and ramps");
  const planned = await planStep(session);
  put("plan", planPage(planned.plan));
  put("settings", formatSettings(planned.settings, { name: planned.input.name }));
  say("2 of 6  load: its settings over the serial line of an emulated board");
  const board = await loadedBoard(session, planned);
  say("3 of 6  prove: a short set of interlocks, each fault at the pins");
  const { verdict, page } = proofOf(session, planned, await proveStep(session, planned));
  put("proof", page);
  say("4 of 6  drive: one launch to the quarter mile");
  const driven = driveStep(session, board, planned);
  say("5 of 6  pull: the run log over the same line");
  put("run", await pullStep(session, board, planned));
  say("6 of 6  review: what happened");
  const reviewed = await openedRun(session, join(out, FILES.run), { baud: 0 });
  put("review", reviewPage("time", reviewed));
  session.talk("");
  const toured = { planned, verdict, driven, reviewed };
  const flowed = driven.found.stages.some((flows) => flows.length > 0);
  const good = verdict.word === "PROVED" && flowed && shutUs(driven) !== undefined;
  return {
    exit: good ? EXIT.yes : EXIT.no,
    data: { folder: resolve(session.io.cwd, out), files: FILES, outcome: verdict.word, ...numbersOf(toured) },
    lines: endScreen(toured, out, session.width),
  };
}
