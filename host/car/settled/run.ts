/** A run from standstill over a distance, stepped in time; nothing flows outside the window or while a gear changes, and the limiter holds in every gear. */

import { type CarData, engineRpm, lockedRpm, resistanceN, rotatingMassKg } from "../car.ts";
import { EIGHTH_MILE_M, QUARTER_MILE_M } from "../quarter-mile.ts";
import { radPerS, torqueAt } from "../torque-curve.ts";
import {
  driveLimitN,
  peakFriction,
  type ShareBounds,
  shareLimit,
  slipAt,
  tyreLimitN,
  wheelForceN,
} from "./traction.ts";

/** Nitrous in a run: full added power, W, the engine speed window, rpm, the torque limit of the parts, and what the tyres must bear. */
export interface Nitrous extends ShareBounds {
  readonly addedW: number;
  readonly openRpm: number;
  readonly closeRpm: number;
}

/** The car at one moment: time, s, distance, m, speed, m/s, gear (0 is first), engine speed, rpm. */
export interface Moment {
  readonly timeS: number;
  readonly distanceM: number;
  readonly speedMS: number;
  readonly gear: number;
  readonly rpm: number;
  readonly locked: boolean;
  readonly shifting: boolean;
}

/** One moment of a run: share of full flow, the limit on it, force at the wheels and the tyres' limit, N. */
export interface Sample extends Moment {
  readonly open: boolean;
  readonly share: number;
  readonly shareLimit: number;
  readonly accelerationMS2: number;
  readonly forceN: number;
  readonly forceLimitN: number;
}

/** Times, s, and speed at the end, m/s. Samples are one a step. */
export interface Run {
  readonly samples: readonly Sample[];
  readonly quarterS: number;
  readonly eighthS: number;
  readonly trapMS: number;
  /** Time with the tyres at their limit from the engine alone. */
  readonly overpoweredS: number;
}

/** Share commanded at a moment, given the limit there. */
export type ShareLaw = (moment: Moment, limit: number) => number;

const STEP_S = 0.005;
const LONGEST_S = 60;

/** Whether nitrous may flow at an engine speed. */
export const windowOpen = (nitrous: Nitrous, rpm: number): boolean =>
  rpm >= nitrous.openRpm && rpm <= nitrous.closeRpm;

/** The car and the nitrous acting at a moment; forces in N. */
export function sampleAt(car: CarData, moment: Moment, nitrous: Nitrous | undefined, law: ShareLaw): Sample {
  const { gear, speedMS, locked, shifting } = moment;
  const resistance = resistanceN(car, speedMS);
  const open = nitrous !== undefined && !shifting && windowOpen(nitrous, moment.rpm);
  const { rpm, timeS, distanceM } = moment;
  const pull = { gear, speedMS, rpm, locked, sinceS: timeS };
  const limit = open ? shareLimit(car, nitrous.addedW, pull, nitrous) : 1;
  const share = open ? law(moment, limit) : 0;
  const added = share === 0 || nitrous === undefined ? 0 : (share * nitrous.addedW) / radPerS(moment.rpm);
  const cut = shifting || moment.rpm >= car.motion.limiterRpm;
  const torque = cut ? 0 : torqueAt(car.torque, moment.rpm) + added;
  const forceLimitN = driveLimitN(car, gear, speedMS, peakFriction(car.grip), locked);
  const forceN = Math.min(wheelForceN(car, gear, torque), forceLimitN);
  const accelerationMS2 = (forceN - resistance) / (car.massKg + rotatingMassKg(car, gear, locked));
  return {
    timeS,
    distanceM,
    speedMS,
    gear,
    rpm,
    locked,
    shifting,
    open,
    share,
    shareLimit: limit,
    accelerationMS2,
    forceN,
    forceLimitN,
  };
}

function momentAt(car: CarData, state: State): Moment {
  const { timeS, distanceM, speedMS, gear } = state;
  const slipped = slipAt(car.grip, state.usedFriction);
  const lockedSpeed = lockedRpm(car, gear, speedMS, slipped);
  const rpm = Math.max(engineRpm(car, gear, speedMS), lockedSpeed);
  const locked = gear > 0 || lockedSpeed >= car.launchRpm;
  return { timeS, distanceM, speedMS, gear, rpm, locked, shifting: state.shiftLeftS > 0 };
}

interface State {
  timeS: number;
  distanceM: number;
  speedMS: number;
  gear: number;
  shiftLeftS: number;
  usedFriction: number;
}

function step(car: CarData, state: State, sample: Sample): void {
  const speed = Math.max(0, state.speedMS + sample.accelerationMS2 * STEP_S);
  state.distanceM += ((state.speedMS + speed) / 2) * STEP_S;
  state.speedMS = speed;
  state.timeS += STEP_S;
  state.shiftLeftS -= STEP_S;
  const tyreN = sample.forceN - rotatingMassKg(car, sample.gear, sample.locked) * sample.accelerationMS2;
  const full = tyreLimitN(car, peakFriction(car.grip), resistanceN(car, speed));
  state.usedFriction = Math.max(0, Math.min(1, tyreN / full)) * peakFriction(car.grip);
  const due = lockedRpm(car, state.gear, speed) >= car.shiftRpm && state.gear < car.gears.length - 1;
  if (due && state.shiftLeftS <= 0) {
    state.gear += 1;
    state.shiftLeftS = car.shiftS;
  }
}

function timeAt(samples: readonly Sample[], distanceM: number, end: Sample): number {
  const i = samples.findIndex((s) => s.distanceM >= distanceM);
  const b = i < 0 ? end : samples[i]!;
  const a = samples[(i < 0 ? samples.length : i) - 1];
  if (a === undefined || b.distanceM === a.distanceM) return b.timeS;
  return a.timeS + ((b.timeS - a.timeS) * (distanceM - a.distanceM)) / (b.distanceM - a.distanceM);
}

/** Runs the car over a quarter mile, or for 60 s at most (times are then infinite). Without `nitrous` on the engine alone. */
export function simulate(car: CarData, nitrous?: Nitrous, law: ShareLaw = (_, limit) => limit): Run {
  const state: State = { timeS: 0, distanceM: 0, speedMS: 0, gear: 0, shiftLeftS: 0, usedFriction: 0 };
  const samples: Sample[] = [];
  let overpoweredS = 0;
  while (state.timeS < LONGEST_S) {
    const sample = sampleAt(car, momentAt(car, state), nitrous, law);
    samples.push(sample);
    if (sample.distanceM >= QUARTER_MILE_M) break;
    if (sample.share === 0 && sample.forceN >= sample.forceLimitN) overpoweredS += STEP_S;
    step(car, state, sample);
  }
  const end = samples.at(-1)!;
  const finished = end.distanceM >= QUARTER_MILE_M;
  const quarterS = finished ? timeAt(samples, QUARTER_MILE_M, end) : Number.POSITIVE_INFINITY;
  return {
    samples,
    quarterS,
    eighthS: timeAt(samples, EIGHTH_MILE_M, end),
    trapMS: end.speedMS,
    overpoweredS,
  };
}
