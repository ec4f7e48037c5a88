// Who plays a run again: from all that the core read where a run file has it for this core, else from its records.
import type { MemoryFlash } from "#host/bench/core/flash.ts";
import { CoreRig } from "#host/bench/core/rig.ts";
import { Failure } from "#host/errors/failure.ts";
import type { Turn } from "#host/replay/before-arming.ts";
import { bestTurn, nearestTurn } from "#host/replay/best-turn.ts";
import { type Comparison, compare } from "#host/replay/compare.ts";
import { replayOther } from "#host/replay/exact/other.ts";
import { compareRecords, pairsOf, replayedRows } from "#host/replay/exact/records.ts";
import { beginsWithArming, replayRecords } from "#host/replay/from-records.ts";
import { type Recorded, recordedRun } from "#host/replay/recorded.ts";
import type { ExactTold } from "#host/report/replay/text.ts";
import { settingsBytes } from "#host/settings/hash.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import { coreModule, releasedCrc } from "../bench/controllers.ts";
import { storedFlash } from "../bench/rig-flash.ts";
import type { Session } from "../session.ts";
import type { RunAtHand } from "./run-at-hand.ts";

/** A run as it comes out with the settings it was recorded with, and the way to try others. */
export interface Player {
  readonly own: Comparison;
  readonly exact?: ExactTold;
  tryOther(block: Uint8Array): Promise<Comparison>;
}

/** Fails with `run-cut` where the beginning is not there. */
async function fromRecords(
  module: WebAssembly.Module,
  { run: { run } }: RunAtHand,
  records: readonly Recorded[],
  recordedWith: Document,
): Promise<Player> {
  if (!beginsWithArming(records)) throw new Failure("run-cut", { data: { run } });
  const flash = await storedFlash(module, settingsBytes(recordedWith));
  const replay = { module, flash, recordedWith };
  const { turn, comparison } = bestTurn(replay, records);
  return {
    own: comparison,
    tryOther: async (block) =>
      compare(records, replayRecords({ ...replay, flash: await storedFlash(module, block) }, records, turn)),
  };
}

/** The first records that are compared come within so many ticks, when these go back to the arming. */
const FIRST_TICKS = 30;

/** What was recorded of the run in the ticks that are kept, and the same out of their replay. */
function inTicks(
  rig: CoreRig,
  { pieces, run: { samples, lostPages } }: RunAtHand,
): { exact: ExactTold; covered: Recorded[]; again: Recorded[] } {
  const pairs = pairsOf(samples, replayedRows(rig, pieces), lostPages > 0);
  const { same, first } = compareRecords(pairs);
  const ticks = pieces.reduce((sum, piece) => sum + piece.ticks.length, 0);
  return {
    exact: { ticks, sameRecords: same, differs: first },
    covered: recordedRun(pairs.map(([recorded]) => recorded)),
    again: recordedRun(pairs.map(([, replayed]) => replayed)),
  };
}

async function fromTicks(
  module: WebAssembly.Module,
  found: RunAtHand,
  records: readonly Recorded[],
  recordedWith: Document,
): Promise<Player> {
  const own = settingsBytes(recordedWith);
  const rig = started(module, await storedFlash(module, own));
  const { exact, covered, again } = inTicks(rig, found);
  if (covered.length === 0) return fromRecords(module, found, records, recordedWith);
  const ticks = found.pieces.flatMap((piece) => piece.ticks);
  const gaps = found.pieces.slice(1).some(({ follows }) => !follows);
  const all = [records[0]!, ...covered];
  return {
    own: compare(covered, again),
    exact,
    tryOther: async (block) => {
      if (gaps || covered[0]!.tick > FIRST_TICKS)
        return (await fromRecords(module, found, records, recordedWith)).tryOther(block);
      const play = async (its: Uint8Array) => {
        const flash = await storedFlash(module, its);
        return (turn: Turn) => replayOther(started(module, flash), ticks, all, turn);
      };
      const { turn } = nearestTurn(all, await play(own));
      return compare(all, (await play(block))(turn));
    },
  };
}

function started(module: WebAssembly.Module, flash: MemoryFlash): CoreRig {
  const rig = new CoreRig(module, flash);
  rig.start();
  return rig;
}

/** Makes one. Talks about ticks of another core, which only its records can replace. */
export async function playerFor(
  session: Session,
  found: RunAtHand,
  records: readonly Recorded[],
  recordedWith: Document,
): Promise<Player> {
  const module = coreModule();
  const { pieces } = found;
  if (pieces.length > 0 && pieces.every(({ imageCrc }) => imageCrc === releasedCrc()))
    return fromTicks(module, found, records, recordedWith);
  if (pieces.length > 0)
    session.talk("what the core read tick by tick is of another image; the run is replayed from its records");
  return fromRecords(module, found, records, recordedWith);
}
