// The plain model of a stage's share: ramps over their axes, the lower rules, only rises are limited. In floating point, as a band.
import { isOn, type Raw, type Reading, windowValue } from "./raw.ts";
import type { Axis, Ramp, Settings } from "./settings.ts";

/** Lowest and highest value that agrees with the model. */
export interface Band {
  lo: number;
  hi: number;
}

/** Share at a place, permille: straight between the points, ends held. */
export function rampAt(points: Ramp["points"], place: number): number {
  const after = points.findIndex(([at]) => at > place);
  if (after === 0) return points[0]![1];
  if (after < 0) return points.at(-1)![1];
  const [x0, y0] = points[after - 1]!;
  const [x1, y1] = points[after]!;
  return y0 + ((y1 - y0) * (place - x0)) / (x1 - x0);
}

/** What a ramp gives around a place, rounding of the place included. */
function rampBand(points: Ramp["points"], { value, rounding }: Reading): Band {
  const near = points.map(([at]) => at).filter((at) => Math.abs(at - value) < rounding);
  const values = [value - rounding, value, value + rounding, ...near].map((at) => rampAt(points, at));
  return { lo: Math.min(...values), hi: Math.max(...values) };
}

/** Times that the ramps of a stage run over, in milliseconds; undefined before their start. */
export interface Times {
  readonly openMs: number;
  readonly launchMs: number | undefined;
}

/** Follows the share of one stage. */
export class ShareModel {
  readonly band: Band = { lo: 0, hi: 0 };
  /** Most that the ramps allow in this tick, whatever the rise limit says. */
  allowed = 0;
  private readonly settings: Settings;
  private readonly ramps: readonly Ramp[];

  constructor(settings: Settings, stage: number) {
    this.settings = settings;
    this.ramps = settings.stages[stage]!.ramps;
  }

  /** One tick in which the stage is open, `us` after the last. */
  step(raw: Raw, us: number, times: Times): void {
    const bands = this.ramps.map((ramp) => this.target(ramp, raw, times));
    const lo = Math.min(...bands.map((b) => b.lo));
    const hi = Math.min(...bands.map((b) => b.hi));
    this.allowed = hi;
    const rise = (this.settings.flow.riseLimitPercentPerS * 10 * us) / 1e6;
    this.band.lo = Math.min(lo, this.band.lo + rise);
    this.band.hi = Math.min(hi, this.band.hi + rise);
  }

  private target(ramp: Ramp, raw: Raw, times: Times): Band {
    const place = placeOn(ramp.over, raw, this.settings, times);
    return place === undefined ? { lo: 0, hi: 0 } : rampBand(ramp.points, place);
  }
}

function placeOn(axis: Axis, raw: Raw, settings: Settings, times: Times): Reading | undefined {
  if (axis === "time") return { value: times.openMs, rounding: 1 };
  if (axis === "launch")
    return times.launchMs === undefined ? undefined : { value: times.launchMs, rounding: 1 };
  if (axis === "engine-speed") return windowValue(raw, settings, "engineSpeed");
  return windowValue(raw, settings, axis === "road-speed" ? "roadSpeed" : "manifold");
}

/** The movement of the launch switch that starts the time, seen from tick to tick. */
export class LaunchModel {
  private startUs: number | undefined;
  private pressed = false;
  private readonly startsAt: "press" | "release" | undefined;

  constructor(settings: Settings) {
    this.startsAt = settings.launch?.startsAt;
  }

  /** Milliseconds since the launch; undefined before it. */
  step(raw: Raw): number | undefined {
    const pressed = isOn(raw, "launch");
    if (pressed !== this.pressed && pressed === (this.startsAt === "press")) this.startUs = raw.nowUs;
    this.pressed = pressed;
    return this.startUs === undefined ? undefined : (raw.nowUs - this.startUs) / 1000;
  }
}
