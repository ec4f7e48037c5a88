/** The share of full flow that tyres and parts allow over the axis of a ramp, with the time saved by a unit of share. */
import { type CarData, engineRpm, lockedRpm, rotatingMassKg, speedAtRpm } from "#host/car/car.ts";
import { type Moment, type Nitrous, type Run, sampleAt, windowOpen } from "#host/car/settled/run.ts";
import { driveLimitN, peakFriction, shareLimit } from "#host/car/settled/traction.ts";
import type { LimitSample } from "./fit.ts";

/** Axis of a ramp. Values: road speed in m/s, time since launch in s, engine speed in rpm. */
export type RampAxis = "road-speed" | "launch" | "engine-speed";

const SAMPLES = 500;
/** Within this distance of a gear change, m/s, both gears count, because the change falls at a different speed in every run. */
const SHIFT_BAND_MS = 0.5;

/** May a gear be in at a road speed, m/s? */
function mayBeIn(car: CarData, gear: number, speedMS: number): boolean {
  if (gear > 0 && speedMS < speedAtRpm(car, gear - 1, car.shiftRpm) - SHIFT_BAND_MS) return false;
  return gear === car.gears.length - 1 || speedMS <= speedAtRpm(car, gear, car.shiftRpm) + SHIFT_BAND_MS;
}

/** The lowest gear that may be in at a road speed, m/s. */
function lowestGear(car: CarData, speedMS: number): number {
  let gear = 0;
  while (!mayBeIn(car, gear, speedMS)) gear++;
  return gear;
}

const isLocked = (car: CarData, gear: number, speedMS: number): boolean =>
  gear > 0 || lockedRpm(car, gear, speedMS) >= car.launchRpm;

function momentAt(car: CarData, gear: number, speedMS: number): Moment {
  const [rpm, locked] = [engineRpm(car, gear, speedMS), isLocked(car, gear, speedMS)];
  return { timeS: 0, distanceM: 0, speedMS, gear, rpm, locked, shifting: false };
}

/** Time, s, that a car has pulled at least when it has reached a speed, m/s: nothing pulls it harder than its tyres. */
const pulledS = (car: CarData, speedMS: number): number =>
  (speedMS * car.massKg) / driveLimitN(car, 0, 0, peakFriction(car.grip), false);

/** Limit at a road speed, m/s, over the gears that may be in then; 1 where the window is shut, since nothing flows. */
export function shareLimitAtSpeed(car: CarData, nitrous: Nitrous, speedMS: number): number {
  const sinceS = pulledS(car, speedMS);
  let least = 1;
  for (let gear = 0; gear < car.gears.length; gear++) {
    const rpm = engineRpm(car, gear, speedMS);
    if (!mayBeIn(car, gear, speedMS) || !windowOpen(nitrous, rpm)) continue;
    const pull = { gear, speedMS, rpm, locked: isLocked(car, gear, speedMS), sinceS };
    least = Math.min(least, shareLimit(car, nitrous.addedW, pull, nitrous));
  }
  return least;
}

/**
 * Seconds over the distance that a unit of share for a second saves at a moment of a reference run: the change of
 * dv/a with distance held, which leaves a factor of (1 - v / end speed).
 */
function worth(car: CarData, nitrous: Nitrous, moment: Moment, acceleration: number, endMS: number): number {
  if (!windowOpen(nitrous, moment.rpm) || moment.shifting || acceleration <= 0) return 0;
  const mass = car.massKg + rotatingMassKg(car, moment.gear, moment.locked);
  const gain = (nitrous.addedW * car.efficiency) / (Math.max(moment.speedMS, 1) * mass);
  return (gain / acceleration) * Math.max(0, 1 - moment.speedMS / endMS);
}

/** Between two samples the limit is looked at so often: it has kinks there too. */
const PER_SAMPLE = 4;

/** Lowest limit at each of the samples, `widthMS` apart, and within half of that around it. */
function lowestAround(car: CarData, nitrous: Nitrous, widthMS: number): Float64Array {
  const fine = Float64Array.from({ length: SAMPLES * PER_SAMPLE }, (_, i) =>
    shareLimitAtSpeed(car, nitrous, Math.max(0, ((i - PER_SAMPLE / 2) * widthMS) / PER_SAMPLE)),
  );
  return Float64Array.from({ length: SAMPLES }, (_, i) =>
    Math.min(...fine.subarray(i * PER_SAMPLE, (i + 1) * PER_SAMPLE + 1)),
  );
}

/** Lowest limit beyond the end of the axis, where the last share is held, up to the closing speed in top gear. */
function lowestBeyond(car: CarData, nitrous: Nitrous, fromMS: number): number {
  const top = speedAtRpm(car, car.gears.length - 1, nitrous.closeRpm);
  const edges = car.gears.map((_, gear) => speedAtRpm(car, gear, car.shiftRpm));
  const jumps = edges.flatMap((edge) => [edge - SHIFT_BAND_MS, edge + SHIFT_BAND_MS]);
  const grid = Array.from(
    { length: Math.max(0, Math.ceil((top - fromMS) / 0.1)) },
    (_, i) => fromMS + 0.1 * i,
  );
  const speeds = [...grid, ...jumps.filter((speed) => speed >= fromMS)];
  return Math.min(1, ...speeds.map((speed) => shareLimitAtSpeed(car, nitrous, speed)));
}

function overSpeed(car: CarData, nitrous: Nitrous, run: Run): LimitSample[] {
  const end = run.trapMS * 1.15;
  const around = lowestAround(car, nitrous, end / (SAMPLES - 1));
  return Array.from({ length: SAMPLES }, (_, i) => {
    const at = (end * i) / (SAMPLES - 1);
    const moment = momentAt(car, lowestGear(car, at), at);
    const { accelerationMS2 } = sampleAt(
      car,
      { ...moment, timeS: pulledS(car, at) },
      nitrous,
      (_, limit) => limit,
    );
    const seconds = end / SAMPLES / Math.max(accelerationMS2, 0.1);
    const weight = at > run.trapMS ? 0 : worth(car, nitrous, moment, accelerationMS2, run.trapMS) * seconds;
    const limit = i < SAMPLES - 1 ? around[i]! : Math.min(around[i]!, lowestBeyond(car, nitrous, end));
    return { at, limit, weight };
  });
}

function overTime(car: CarData, nitrous: Nitrous, run: Run): LimitSample[] {
  const stride = Math.max(1, Math.floor(run.samples.length / SAMPLES));
  const chosen: LimitSample[] = [];
  for (let i = 0; i < run.samples.length; i += stride) {
    const part = run.samples.slice(i, i + stride);
    const s = part[0]!;
    const weight = worth(car, nitrous, s, s.accelerationMS2, run.trapMS) * stride;
    const limit = Math.min(
      ...part.map((sample) => (sample.open && windowOpen(nitrous, sample.rpm) ? sample.shareLimit : 1)),
    );
    chosen.push({ at: s.timeS, limit, weight });
  }
  return chosen;
}

function overEngineSpeed(car: CarData, nitrous: Nitrous, run: Run): LimitSample[] {
  const gears = [...new Set(run.samples.map((s) => s.gear))];
  const width = (nitrous.closeRpm - nitrous.openRpm) / (SAMPLES - 1);
  const weights = new Float64Array(SAMPLES);
  for (const s of run.samples) {
    const i = Math.round((s.rpm - nitrous.openRpm) / width);
    if (i >= 0 && i < SAMPLES) weights[i]! += worth(car, nitrous, s, s.accelerationMS2, run.trapMS);
  }
  return Array.from({ length: SAMPLES }, (_, i) => {
    const at = nitrous.openRpm + i * width;
    const limits = gears.map((gear) => {
      const moment = { ...momentAt(car, gear, speedAtRpm(car, gear, at)), rpm: at };
      return shareLimit(car, nitrous.addedW, { ...moment, sinceS: pulledS(car, moment.speedMS) }, nitrous);
    });
    return { at, limit: Math.min(1, ...limits), weight: weights[i]! };
  });
}

/** Each limit lowered to its neighbours', so that a line under the samples is under everything between them. */
export function eroded(samples: readonly LimitSample[]): LimitSample[] {
  return samples.map((s, i) => {
    const around = [samples[i - 1], s, samples[i + 1]];
    return { ...s, limit: Math.min(...around.map((x) => x?.limit ?? 1)) };
  });
}

/**
 * The limit over an axis, around a reference run, for a stage with the window of `nitrous`, which may lie inside that of the run.
 * Road and engine speed hold for any run; time only for runs like it.
 */
export function limitOver(axis: RampAxis, car: CarData, nitrous: Nitrous, run: Run): LimitSample[] {
  const over = { "road-speed": overSpeed, launch: overTime, "engine-speed": overEngineSpeed }[axis];
  return eroded(over(car, nitrous, run));
}

/** Where a moment lies on an axis. */
export function axisValue(axis: RampAxis, moment: Moment): number {
  return { "road-speed": moment.speedMS, launch: moment.timeS, "engine-speed": moment.rpm }[axis];
}
