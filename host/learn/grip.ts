// Grip of the driven tyres: the highest friction that a run used, and whether the wheels slipped past it so that it is the limit.
import type { Moment } from "./moments.ts";
import { topOf } from "./peak.ts";

/** What a run shows of its tyres. */
export interface GripSeen {
  /** The highest friction, and the slip at which it was used. */
  readonly friction: number;
  readonly slip: number;
  /** The wheels slipped further without gripping more: the friction is the tyres' limit. Else they hold at least so much. */
  readonly isLimit: boolean;
  /** Moments that it is a mean of, those beyond it, and the first and the last second of all these. */
  readonly moments: number;
  readonly beyond: number;
  readonly fromS: number;
  readonly toS: number;
}

/** Moments of neighbouring slips that one value is a mean of: a quarter of a second. */
const TOGETHER = 25;
/** Moments with more slip that show a limit, by how much more of it, and the share of the highest friction that they must have. */
const LEAST_BEYOND = 15;
const FURTHER = 1.12;
const STILL = 0.8;
/** Moments with a little less, and with a little more, slip: without them the highest friction may lie where nothing was seen. */
const LEAST_NEAR = 8;
const NEAR = 1.7;
/** No slip may be missing around the highest friction, by more than this share of it. */
const GAP = 0.12;
/** Slip that rolling wheels have at most: friction that is used there is no limit of anything. */
const LEAST_SLIP = 0.02;
/** A moment with more slip may be one in a lower gear. */
const MOST_SLIP = 0.45;

const mean = (values: readonly number[]): number => values.reduce((sum, v) => sum + v, 0) / values.length;

const between = (moments: readonly Moment[], from: number, to: number): number =>
  moments.filter(({ slip }) => slip >= from && slip <= to).length;

/** Are there moments at every slip around one? The peak of the friction lies in what is missing, as likely as not. */
function isGapless(sorted: readonly Moment[], slip: number): boolean {
  const near = sorted.map((m) => m.slip).filter((s) => s >= slip / NEAR && s <= slip * NEAR);
  return near.every((s, i) => i === 0 || s - near[i - 1]! <= GAP * slip);
}

/** Undefined when nothing in the run pulls. */
export function gripOf(all: readonly Moment[]): GripSeen | undefined {
  const moments = all
    .filter(({ gripped, slip }) => gripped && slip >= LEAST_SLIP && slip <= MOST_SLIP)
    .sort((a, b) => a.slip - b.slip);
  let best: { readonly from: number; readonly friction: number } | undefined;
  for (let from = 0; from + TOGETHER <= moments.length; from++) {
    const friction = mean(moments.slice(from, from + TOGETHER).map((m) => m.friction));
    if (friction > (best?.friction ?? 0)) best = { from, friction };
  }
  if (best === undefined) return undefined;
  const here = moments.slice(best.from, best.from + TOGETHER);
  const slip = mean(here.map((m) => m.slip));
  const beyond = moments.filter((m) => m.slip > FURTHER * slip && m.friction > STILL * best.friction);
  const isLimit =
    beyond.length >= LEAST_BEYOND &&
    between(moments, slip / NEAR, slip / FURTHER) >= LEAST_NEAR &&
    between(beyond, slip, slip * NEAR) >= LEAST_NEAR &&
    isGapless(moments, slip) &&
    mean(beyond.map((m) => m.friction)) < best.friction;
  // A mean over slips that are passed quickly is lower than the top between them.
  const near = moments.filter((m) => m.slip >= slip / NEAR && m.slip <= slip * NEAR);
  const top = isLimit ? topOf(near.map((m) => ({ x: m.slip, y: m.friction }))) : undefined;
  const times = [...here, ...(isLimit ? beyond : [])].map((m) => m.timeS);
  return {
    friction: top ?? best.friction,
    slip,
    isLimit,
    moments: here.length,
    beyond: beyond.length,
    fromS: Math.min(...times),
    toS: Math.max(...times),
  };
}
