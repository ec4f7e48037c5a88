// A stored run from its records to the report: replayed with the settings it was recorded with, and with others where they are given.
import { EXIT } from "#host/errors/exit.ts";
import { Failure } from "#host/errors/failure.ts";
import { documentOf } from "#host/logbook/run-file/document-of.ts";
import { type Comparison, RECORD_BOUNDS } from "#host/replay/compare.ts";
import type { EventPair } from "#host/replay/events.ts";
import { COARSE, NOT_SHOWN } from "#host/replay/limits.ts";
import { type Recorded, recordedRun } from "#host/replay/recorded.ts";
import { secondsOf } from "#host/replay/said.ts";
import { agrees, OTHERWISE, type ReplayTold, replayLines, verdict } from "#host/report/replay/text.ts";
import { hex8, settingsHash } from "#host/settings/hash.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import type { Result, Session } from "../session.ts";
import type { GoodFile } from "../settings/settings-file.ts";
import { playerFor } from "./player.ts";
import type { RunAtHand } from "./run-at-hand.ts";

/** The settings in force in the run. Fails with `run-settings-unknown`, also when the file given holds others. */
function recordedWith(found: RunAtHand, hash: string, given: GoodFile | undefined): Document {
  if (given?.hash === hash) return given.document;
  const document = given ? "missing" : documentOf(found.settings, found.run.settingsCrc);
  if (typeof document !== "string" && settingsHash(document) === hash) return document;
  const { run } = found.run;
  const what = given && `run ${run} was recorded with settings ${hash}; ${given.file} is ${given.hash}`;
  throw new Failure("run-settings-unknown", {
    ...(what === undefined ? {} : { what }),
    data: { run, settingsHash: hash },
  });
}

const eventData = ({ recorded, replayed }: EventPair): Record<string, unknown> => {
  const at = (event: EventPair["recorded"]): Record<string, unknown> | null =>
    event ? { seconds: secondsOf(event.tick), causes: event.causes } : null;
  return { what: (recorded ?? replayed!).words, recorded: at(recorded), replayed: at(replayed) };
};

const comparisonData = (comparison: Comparison): Record<string, unknown> => ({
  same: comparison.same,
  verdict: verdict(comparison),
  meanSharePoints: comparison.meanPoints,
  worstSharePoints: comparison.worstPoints,
  events: comparison.pairs.map(eventData),
});

function dataOf(told: ReplayTold, board: string | undefined): Record<string, unknown> {
  const { run, seconds, settingsHash, lostPages, own, other, exact } = told;
  return {
    run,
    ...(board === undefined ? {} : { board }),
    seconds,
    settingsHash,
    lostPages,
    ...(exact
      ? { from: "ticks", ...exact }
      : { from: "records", bounds: RECORD_BOUNDS, cannotShow: NOT_SHOWN, coarse: COARSE }),
    own: comparisonData(own),
    ...(other ? { caution: OTHERWISE, file: other.file, other: comparisonData(other.comparison) } : {}),
  };
}

/** Its records and what they were recorded with. Fails with `run-cut` where there is nothing to replay. */
function recordsOf(found: RunAtHand): { records: Recorded[]; hash: string } {
  const { run, samples, settingsCrc } = found.run;
  const records = recordedRun(samples);
  if (records.length === 0 || settingsCrc === undefined) throw new Failure("run-cut", { data: { run } });
  return { records, hash: hex8(settingsCrc) };
}

/** Replays it. Exit 1 when a replay with the run's own settings does not agree with it and no others were tried. */
export async function replayRun(
  session: Session,
  found: RunAtHand,
  given: GoodFile | undefined,
  other: GoodFile | undefined,
): Promise<Result> {
  const { records, hash } = recordsOf(found);
  const document = recordedWith(found, hash, given);
  const player = await playerFor(session, found, records, document);
  const told: ReplayTold = {
    run: found.run.run,
    seconds: secondsOf(records.at(-1)!.tick),
    settingsHash: hash,
    lostPages: found.run.lostPages,
    own: player.own,
    exact: player.exact,
    ...(other ? { other: { file: other.file, comparison: await player.tryOther(other.block) } } : {}),
  };
  return {
    exit: other || agrees(told) ? EXIT.yes : EXIT.no,
    data: dataOf(told, found.board),
    lines: replayLines(told, session.width),
  };
}
