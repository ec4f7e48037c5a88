// Many runs of one car with one settings file on the core rig, each under other conditions; every run depends on its number alone.
import type { Document } from "#shared-schema/settings/pack.ts";
import type { MemoryFlash } from "../core/flash.ts";
import { ClosedLoop, type DrivenCar } from "./closed-loop.ts";
import { type Conditions, noise, under } from "./conditions.ts";
import { drive, type Until } from "./drive.ts";
import { RunRandom } from "./random.ts";
import { RigController } from "./rig-controller.ts";
import { launchScript } from "./script.ts";
import { corners, drawn, type Tolerance } from "./tolerance.ts";
import { tripped } from "./watches.ts";

/** What is to be run. `corners`: the corners of the tolerance in place of runs drawn from it. */
export interface SpreadPlan {
  readonly seed: number;
  readonly runs: number;
  readonly tolerance: Tolerance;
  readonly corners: boolean;
  readonly until: Until;
  /** These conditions, one a run, in place of drawn ones. */
  readonly listed?: readonly Conditions[];
  /** All runs but the first end where a wheel goes beyond the slip of the best grip. */
  readonly endsAtSpin?: boolean;
}

/** What one run came to. Times in s; marks that were not reached are left out. */
export interface SpreadRun {
  readonly run: number;
  readonly conditions: Conditions;
  readonly sixtyFeetS?: number;
  readonly eighthS?: number;
  readonly quarterS?: number;
  readonly trapMS?: number;
  readonly worstSlip: number;
  readonly overPeakS: number;
  /** Ids of interlocks, in order. */
  readonly trips: readonly string[];
}

/** A car and its controllers, for any number of runs. */
export interface SpreadCar {
  readonly driven: DrivenCar;
  readonly settings: Document;
  readonly module: WebAssembly.Module;
  readonly flash: MemoryFlash;
}

/** How many runs a plan has. */
export const runsOf = (plan: SpreadPlan): number =>
  plan.listed?.length ?? (plan.corners ? corners(plan.tolerance).length : plan.runs);

/** Conditions of a run, numbered from 0. */
export function conditionsOf(plan: SpreadPlan, run: number): Conditions {
  if (plan.listed) return plan.listed[run]!;
  return plan.corners ? corners(plan.tolerance)[run]! : drawn(plan.tolerance, plan.seed, run);
}

/** Where the noise of a run begins in its random row, so that it has nothing in common with its conditions. */
const NOISE_SEED = 0x5eed;

/** Noise of a run; the same when the run is looked at again. */
export const noiseOf = (plan: SpreadPlan, run: number): RunRandom =>
  new RunRandom(plan.seed ^ NOISE_SEED, run);

/** Drives one run. */
export function spreadRun(car: SpreadCar, plan: SpreadPlan, run: number): SpreadRun {
  const conditions = conditionsOf(plan, run);
  const loop = new ClosedLoop({
    ...under(car.driven, conditions),
    settings: car.settings,
    controller: new RigController(car.module, car.flash, { keepsEdges: false }),
    script: launchScript(car.settings, conditions),
    disturb: noise(conditions, noiseOf(plan, run)),
  });
  const { timer, spin, said } = drive(loop, {
    until: plan.until,
    endsAtSpin: plan.endsAtSpin === true && run > 0,
  });
  const { sixtyFeet, eighth, quarter } = timer.slip;
  return {
    run,
    conditions,
    ...(sixtyFeet && { sixtyFeetS: sixtyFeet.timeS }),
    ...(eighth && { eighthS: eighth.timeS }),
    ...(quarter && { quarterS: quarter.timeS, trapMS: quarter.speedMS }),
    worstSlip: spin.spin.worst,
    overPeakS: spin.spin.overS,
    trips: tripped(said.said),
  };
}
