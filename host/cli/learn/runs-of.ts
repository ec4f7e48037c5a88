// Runs to learn from: each with the settings that it was recorded with, and a key that tells it from all others.
import { basename } from "node:path";
import { crc32c } from "#host/codec/crc32c.ts";
import { Failure } from "#host/errors/failure.ts";
import type { LearnRun } from "#host/learn/learn-run.ts";
import { settingsCrcOf } from "#host/logbook/run-file/run-file.ts";
import { hex8 } from "#host/settings/hash.ts";
import { FINGERPRINT } from "#shared-schema/generated/fingerprint.ts";
import { validate } from "#shared-schema/rules/validate.ts";
import { type Document, fromBytes, unpack } from "#shared-schema/settings/pack.ts";
import type { PortOptions } from "../line/connect.ts";
import { type RunAtHand, runAtHand, runOrFile } from "../log/run-at-hand.ts";
import type { Session } from "../session.ts";

/** The settings in force, of this version. Fails with `run-settings-unknown`. */
function settingsOf(name: string, { settings, run }: RunAtHand): Document {
  const unknown = (what: string): Failure =>
    new Failure("run-settings-unknown", {
      what: `${name}: ${what}`,
      todo: "learn from a run file that `headgate pull RUN --out FILE` or `headgate rehearse --keep FILE` of this version wrote",
      data: { run: run.run },
    });
  if (settings === undefined) throw unknown("the settings that were in force are not known");
  if (settings.fingerprint !== FINGERPRINT) throw unknown("its settings are of another version");
  if (run.settingsCrc !== undefined && settingsCrcOf(settings) !== run.settingsCrc)
    throw unknown("its settings are not those that were in force");
  const words = fromBytes(settings.block);
  if (validate(words).length > 0) throw unknown("its settings do not pass their check");
  return unpack(words);
}

/** Number of the run, and a check sum of everything that it recorded. */
function keyOf({ run }: RunAtHand): string {
  const bytes = new TextEncoder().encode(JSON.stringify(run.samples));
  return `${run.run}-${hex8(crc32c(bytes))}`;
}

async function oneRun(session: Session, what: string, options: PortOptions): Promise<LearnRun> {
  const which = runOrFile(what);
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
