// Whose turn it was as arming began is not in the records: all four are replayed, and the one that comes nearest to the run is taken.

import { TURNS, type Turn } from "./before-arming.ts";
import { type Comparison, compare } from "./compare.ts";
import { type RecordReplay, replayRecords } from "./from-records.ts";
import type { Recorded } from "./recorded.ts";
import type { Said } from "./said.ts";

/** A replay with the turn that it was made for. */
export interface Tried {
  readonly turn: Turn;
  readonly said: readonly Said[];
  readonly comparison: Comparison;
}

/** What a record counts whose mode, or whose reasons, are others: as much as a full share. */
const FULL = 1000;

/** How far a replay is from the run, record by record: permille of share, and a full share for a mode or reasons that differ. */
function distance(recorded: readonly Said[], replayed: readonly Said[]): number {
  return recorded.reduce((sum, one, i) => {
    const other = replayed[i]!;
    const shares = one.shares.reduce(
      (worst, share, s) => Math.max(worst, Math.abs(share - other.shares[s]!)),
      0,
    );
    return sum + shares + (one.mode === other.mode ? 0 : FULL) + (one.reasons === other.reasons ? 0 : FULL);
  }, 0);
}

/** The replay that comes nearest to the records, of those that `replay` makes for each turn. */
export function nearestTurn(records: readonly Recorded[], replay: (turn: Turn) => readonly Said[]): Tried {
  const tried = TURNS.map((turn) => {
    const said = replay(turn);
    return { turn, said, far: distance(records, said) };
  });
  const { turn, said } = tried.reduce((best, one) => (one.far < best.far ? one : best));
  return { turn, said, comparison: compare(records, said) };
}

/** The same from records alone. The run must begin with its arming. */
export const bestTurn = (replay: RecordReplay, records: readonly Recorded[]): Tried =>
  nearestTurn(records, (turn) => replayRecords(replay, records, turn));
