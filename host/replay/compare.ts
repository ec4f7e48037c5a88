// A replayed run beside the recorded one: what happened in both, and how far the shares lie apart.
import { MODES } from "#shared-schema/model/modes.ts";
import { type EventPair, eventsOf, pairEvents } from "./events.ts";
import type { Said } from "./said.ts";

/** How near a replay from records comes to the run, as the tests hold it; what lies further off has another cause. */
export const RECORD_BOUNDS = { sharePoints: 1.5, seconds: 0.02 } as const;

/** Both runs. Shares in points of full share; ticks since arming began. */
export interface Comparison {
  readonly pairs: readonly EventPair[];
  /** Events in only one of the two, or further apart than the bound. */
  readonly apart: readonly EventPair[];
  readonly meanPoints: number;
  readonly worstPoints: number;
  /** Where the worst is. */
  readonly worstTick: number | undefined;
  readonly same: boolean;
}

const FLOWING = MODES.indexOf("flowing");
const TICKS_PER_S = 1000;
const PERMILLE_PER_POINT = 10;

/** By how much a replayed share lies outside all that the records within the bound of time say, permille. */
function shareError(near: readonly Said[], replayed: Said): number {
  const errors = replayed.shares.map((share, s) => {
    const recorded = near.map(({ shares }) => shares[s]!);
    return Math.max(0, Math.min(...recorded) - share, share - Math.max(...recorded));
  });
  return Math.max(...errors);
}

const isApart = ({ recorded, replayed }: EventPair): boolean =>
  !recorded || !replayed || Math.abs(recorded.tick - replayed.tick) > RECORD_BOUNDS.seconds * TICKS_PER_S;

/** Records of a run within the bound of time of each of them. */
function neighbours(recorded: readonly Said[]): Said[][] {
  const within = RECORD_BOUNDS.seconds * TICKS_PER_S;
  let from = 0;
  return recorded.map(({ tick }) => {
    while (recorded[from]!.tick < tick - within) from++;
    let to = from;
    while (to < recorded.length && recorded[to]!.tick <= tick + within) to++;
    return recorded.slice(from, to);
  });
}

/** Compares what was recorded with what a replay says in the same ticks; both have the same length. */
export function compare(recorded: readonly Said[], replayed: readonly Said[]): Comparison {
  const near = neighbours(recorded);
  const flowing = recorded.flatMap(({ mode }, i) =>
    mode === FLOWING || replayed[i]!.mode === FLOWING
      ? [{ tick: recorded[i]!.tick, points: shareError(near[i]!, replayed[i]!) / PERMILLE_PER_POINT }]
      : [],
  );
  const worstPoints = Math.max(0, ...flowing.map(({ points }) => points));
  const pairs = pairEvents(eventsOf(recorded), eventsOf(replayed));
  const apart = pairs.filter(isApart);
  return {
    pairs,
    apart,
    meanPoints: flowing.reduce((sum, { points }) => sum + points, 0) / Math.max(1, flowing.length),
    worstPoints,
    worstTick: worstPoints > 0 ? flowing.find(({ points }) => points === worstPoints)?.tick : undefined,
    same: apart.length === 0 && worstPoints <= RECORD_BOUNDS.sharePoints,
  };
}
