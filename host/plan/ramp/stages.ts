/** Ramps of all stages together: each is fitted under what the stages before it leave of the limit, so the sum never exceeds it. */
import type { CarData } from "#host/car/car.ts";
import { type Nitrous, type Run, type ShareLaw, simulate } from "#host/car/settled/run.ts";
import { DEFAULT_EFFORT, type FitEffort, fitRamp, type LimitSample, type Ramp, rampAt } from "./fit.ts";
import { axisValue, eroded, limitOver, type RampAxis } from "./share-limits.ts";
import { isInside, type StageWindow } from "./stage-window.ts";
import { allowedShare, deliveredShare, type ValveRange } from "./valve.ts";

/** One stage with its window and its ramp. */
export interface StageRamp extends StageWindow {
  readonly ramp: Ramp;
}

/** Stages with the run that they give. */
export interface RampPlan {
  readonly axis: RampAxis;
  readonly stages: readonly StageRamp[];
  readonly run: Run;
}

/** Steps that the device stores: road speed in 0.1 km/h, time in ms, engine speed in rpm. */
const AXIS_STEP: Readonly<Record<RampAxis, number>> = {
  "road-speed": 0.1 / 3.6,
  launch: 0.001,
  "engine-speed": 1,
};
const SHARE_STEP = 0.001;

/** Total share of full flow at an axis value, as the valves deliver it, with all stages inside their windows. */
export function totalShare(stages: readonly StageRamp[], valves: ValveRange, at: number): number {
  return stages.reduce((sum, s) => sum + s.part * deliveredShare(valves, rampAt(s.ramp, at)), 0);
}

/** The law that a set of ramps gives in a run. */
export function rampLaw(axis: RampAxis, stages: readonly StageRamp[], valves: ValveRange): ShareLaw {
  return (moment) => {
    const open = stages.filter((stage) => isInside(stage, moment));
    return totalShare(open, valves, axisValue(axis, moment));
  };
}

/** To steps of the device, always to the side of less flow; then lowered until no sample is exceeded. */
function settle(ramp: Ramp, axis: RampAxis, samples: readonly LimitSample[]): Ramp {
  const step = AXIS_STEP[axis];
  const settled: [number, number][] = [];
  for (const [i, [at, share]] of ramp.entries()) {
    const before = settled.at(-1);
    const rising = (ramp[i + 1]?.[1] ?? share) >= (ramp[i - 1]?.[1] ?? share);
    const rounded = (rising ? Math.ceil(at / step - 1e-6) : Math.floor(at / step + 1e-6)) * step;
    const next = Math.max(rounded, before === undefined ? 0 : before[0] + step);
    settled.push([next, Math.floor(share / SHARE_STEP + 1e-6) * SHARE_STEP]);
  }
  for (let round = 0; round < 200; round++) {
    const over = samples.find((s) => rampAt(settled, s.at) > s.limit + 1e-9);
    if (over === undefined) break;
    for (const [i, knot] of settled.entries()) {
      const touches = (settled[i - 1]?.[0] ?? -1) <= over.at && (settled[i + 1]?.[0] ?? Infinity) >= over.at;
      const excess = rampAt(settled, over.at) - over.limit;
      if (touches && excess > 0)
        knot[1] = Math.max(0, Math.floor((knot[1] - excess) / SHARE_STEP) * SHARE_STEP);
    }
  }
  return pruned(
    settled.map(([at, share]) => [at, Math.round(share * 1000) / 1000] as const),
    samples,
  );
}

/** Without the knots that hardly bend the ramp, as long as it stays under every sample. */
function pruned(ramp: Ramp, samples: readonly LimitSample[]): Ramp {
  for (let i = 1; i < ramp.length - 1; i++) {
    const without = ramp.filter((_, k) => k !== i);
    const bend = Math.abs(rampAt(without, ramp[i]![0]) - ramp[i]![1]);
    const under = samples.every((s) => rampAt(without, s.at) <= s.limit + 1e-9);
    if (bend < 0.004 && under) return pruned(without, samples);
  }
  return ramp;
}

/** Running minimum from the end of the axis: a stage that has opened stays open. */
function opensOnce(samples: readonly LimitSample[]): LimitSample[] {
  let least = 1;
  const reversed = [...samples].reverse().map((s) => {
    least = Math.min(least, s.limit);
    return { ...s, limit: least };
  });
  return reversed.reverse();
}

/** `limits`: what each stage must stay under inside its own window, with all before it. */
function fitStages(
  limits: readonly (readonly LimitSample[])[],
  windows: readonly StageWindow[],
  valves: ValveRange,
  axis: RampAxis,
  effort: FitEffort,
): StageRamp[] {
  const stages: StageRamp[] = [];
  for (const [i, window] of windows.entries()) {
    const { part } = window;
    const left = limits[i]!.map((s) => {
      const spare = Math.max(0, s.limit - totalShare(stages, valves, s.at)) / part;
      return { ...s, limit: allowedShare(valves, Math.min(1, spare + 1e-9)) };
    });
    const under = eroded(stages.length > 0 ? opensOnce(left) : left);
    stages.push({ ...window, ramp: settle(fitRamp(under, { ...effort, least: valves.least }), axis, under) });
  }
  return stages;
}

/** Highest excess of the ramps over the limit met in a run. */
export const worstExcess = (run: Run): number =>
  Math.max(0, ...run.samples.filter((s) => s.open).map((s) => s.share - s.shareLimit));

/** What a fit starts from: the limit run of a car and the limits around it; worked out once for any number of fits. */
export class Reference {
  readonly car: CarData;
  readonly nitrous: Nitrous;
  readonly run: Run;
  private readonly limits = new Map<string, LimitSample[]>();

  constructor(car: CarData, nitrous: Nitrous) {
    this.car = car;
    this.nitrous = nitrous;
    this.run = simulate(car, nitrous);
  }

  /** The limit over an axis in a stage's window. */
  over(axis: RampAxis, { openRpm }: StageWindow): LimitSample[] {
    const key = `${axis} ${openRpm}`;
    const known = this.limits.get(key) ?? limitOver(axis, this.car, { ...this.nitrous, openRpm }, this.run);
    this.limits.set(key, known);
    return known;
  }
}

/**
 * Fits all stages. On time the limit moves with the run that the ramps give: the fit is repeated around its own run, with
 * every limit met so far kept, until no sample exceeds it.
 */
export function fitRamps(
  reference: Reference,
  axis: RampAxis,
  windows: readonly StageWindow[],
  valves: ValveRange,
  effort: FitEffort = DEFAULT_EFFORT,
): StageRamp[] {
  const { car, nitrous } = reference;
  let limits = windows.map((window) => reference.over(axis, window));
  for (let round = 0; ; round++) {
    const stages = fitStages(limits, windows, valves, axis, effort);
    if (axis !== "launch" || round === 8) return stages;
    const run = simulate(car, nitrous, rampLaw(axis, stages, valves));
    if (worstExcess(run) < 1e-6) return stages;
    limits = windows.map(({ openRpm }, i) =>
      limitOver(axis, car, { ...nitrous, openRpm }, run).map((s) => ({
        ...s,
        limit: Math.min(s.limit, nearestLimit(limits[i]!, s.at)),
      })),
    );
  }
}

/** Fits all stages, and runs the car with them at the limit, without lags. */
export function planRamps(
  car: CarData,
  nitrous: Nitrous,
  axis: RampAxis,
  windows: readonly StageWindow[],
  valves: ValveRange,
  effort: FitEffort = DEFAULT_EFFORT,
): RampPlan {
  const stages = fitRamps(new Reference(car, nitrous), axis, windows, valves, effort);
  return { axis, stages, run: simulate(car, nitrous, rampLaw(axis, stages, valves)) };
}

function nearestLimit(samples: readonly LimitSample[], at: number): number {
  const after = samples.findIndex((s) => s.at >= at);
  if (after <= 0) return samples.at(after)!.limit;
  return Math.min(samples[after]!.limit, samples[after - 1]!.limit);
}
