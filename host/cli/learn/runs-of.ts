// Runs to learn from: each with the settings that it was recorded with, and a key that tells it from all others.
import { basename } from "node:path";
import { crc32c } from "#host/codec/crc32c.ts";
import { Failure } from "#host/errors/failure.ts";
import type { LearnRun } from "#host/learn/learn-run.ts";
import { documentOf, type Unusable } from "#host/logbook/run-file/document-of.ts";
import { hex8 } from "#host/settings/hash.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import type { PortOptions } from "../line/connect.ts";
import { type RunAtHand, runAtHand, runOrFile } from "../log/run-at-hand.ts";
import type { Session } from "../session.ts";

const NO_SETTINGS: Readonly<Record<Unusable, string>> = {
  missing: "the settings that were in force are not known",
  "other-version": "its settings are of another version",
  "other-settings": "its settings are not those that were in force",
  unsound: "its settings do not pass their check",
};

/** The settings in force, of this version. Fails with `run-settings-unknown`. */
function settingsOf(name: string, { settings, run }: RunAtHand): Document {
  const document = documentOf(settings, run.settingsCrc);
  if (typeof document !== "string") return document;
  throw new Failure("run-settings-unknown", {
    what: `${name}: ${NO_SETTINGS[document]}`,
    todo: "learn from a run file that `headgate pull RUN --out FILE` or `headgate rehearse --keep FILE` of this version wrote",
    data: { run: run.run },
  });
}

/** Number of the run, and a check sum of everything that it recorded. */
function keyOf({ run }: RunAtHand): string {
  const bytes = new TextEncoder().encode(JSON.stringify(run.samples));
  return `${run.run}-${hex8(crc32c(bytes))}`;
}

async function oneRun(session: Session, what: string, options: PortOptions): Promise<LearnRun> {
  const which = runOrFile(session.io, what);
  const found = await runAtHand(session, which, options);
  const name = typeof which === "object" ? basename(which.file) : `run ${found.run.run}`;
  for (const lack of found.lacks) session.talk(`${name}: ${lack}`);
  if (found.run.samples.length === 0)
    throw new Failure("empty-run", { what: `${name} holds no record that can be read` });
  return { name, key: keyOf(found), samples: found.run.samples, settings: settingsOf(name, found) };
}

/** All of them. Fails as a run file or a controller does, and with `usage` when one run is named twice. */
export async function learnRuns(
  session: Session,
  names: readonly string[],
  options: PortOptions,
): Promise<LearnRun[]> {
  const runs: LearnRun[] = [];
  for (const name of names) {
    const run = await oneRun(session, name, options);
    const twice = runs.find(({ key }) => key === run.key);
    if (twice) throw new Failure("usage", { what: `${twice.name} and ${run.name} are the same run` });
    runs.push(run);
  }
  return runs;
}
