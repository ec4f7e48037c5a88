// Who plays a run again: from all that the core read where a run file has it for this core, else from its records.
import type { MemoryFlash } from "#host/bench/core/flash.ts";
import { CoreRig } from "#host/bench/core/rig.ts";
import type { Turn } from "#host/replay/before-arming.ts";
import { bestTurn, nearestTurn } from "#host/replay/best-turn.ts";
import { type Comparison, compare } from "#host/replay/compare.ts";
import { replayOther } from "#host/replay/exact/other.ts";
import { compareRecords, replayedSamples } from "#host/replay/exact/records.ts";
import { freshMemory } from "#host/replay/exact/replay.ts";
import { coreCrcOf, type ExactRun, moduleCrc, readStream } from "#host/replay/exact/stream.ts";
import { replayRecords } from "#host/replay/from-records.ts";
import { type Recorded, recordedRun } from "#host/replay/recorded.ts";
import type { ExactTold } from "#host/report/replay/text.ts";
import { settingsBytes } from "#host/settings/hash.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import { coreBytes } from "../bench/controllers.ts";
import { storedFlash } from "../bench/rig-flash.ts";
import type { Session } from "../session.ts";
import type { RunAtHand } from "./run-at-hand.ts";

/** A run as it comes out with the settings it was recorded with, and the way to try others. */
export interface Player {
  readonly own: Comparison;
  readonly exact?: ExactTold;
  tryOther(block: Uint8Array): Promise<Comparison>;
}

async function fromRecords(
  module: WebAssembly.Module,
  records: readonly Recorded[],
  recordedWith: Document,
): Promise<Player> {
  const flash = await storedFlash(module, settingsBytes(recordedWith));
  const replay = { module, flash, recordedWith };
  const { turn, comparison } = bestTurn(replay, records);
  return {
    own: comparison,
    tryOther: async (block) =>
      compare(records, replayRecords({ ...replay, flash: await storedFlash(module, block) }, records, turn)),
  };
}

async function fromTicks(
  module: WebAssembly.Module,
  { run: { samples } }: RunAtHand,
  records: readonly Recorded[],
  recordedWith: Document,
  run: ExactRun,
): Promise<Player> {
  const replayed = replayedSamples(module, run);
  const { same, first } = compareRecords(samples, replayed);
  const covered = records.slice(0, replayed.length);
  const again = [covered[0]!, ...recordedRun(replayed).slice(1, covered.length)];
  return {
    own: compare(covered, again),
    exact: { ticks: run.ticks.length, sameRecords: same, differs: first },
    tryOther: async (block) => {
      const play = async (its: Uint8Array) => {
        const flash = await storedFlash(module, its);
        return (turn: Turn) => replayOther(started(module, flash), run.ticks, covered, turn);
      };
      const { turn } = nearestTurn(covered, await play(settingsBytes(recordedWith)));
      return compare(covered, (await play(block))(turn));
    },
  };
}

function started(module: WebAssembly.Module, flash: MemoryFlash): CoreRig {
  const rig = new CoreRig(module, flash);
  rig.start();
  return rig;
}

/** Makes one. Talks about a stream of another core, which only its records can replace. */
export async function playerFor(
  session: Session,
  found: RunAtHand,
  records: readonly Recorded[],
  recordedWith: Document,
): Promise<Player> {
  const bytes = coreBytes();
  const module = new WebAssembly.Module(new Uint8Array(bytes));
  if (found.exact && coreCrcOf(found.exact) === moduleCrc(bytes))
    return fromTicks(module, found, records, recordedWith, readStream(found.exact, freshMemory(module)));
  if (found.exact)
    session.talk("what the core read tick by tick is of another image; the run is replayed from its records");
  return fromRecords(module, records, recordedWith);
}
