// The moments of a run in which the car tells something: forces at the tyres, torque of the engine and flow, all at once.
import { type CarData, resistanceN } from "#host/car/car.ts";
import { Driveline } from "#host/car/driveline.ts";
import type { SupplyLags } from "#host/car/supply-data.ts";
import type { LogSample } from "#host/logbook/sample.ts";
import { MODES } from "#shared-schema/model/interlocks.ts";
import { gearAt, slipAt } from "./gears.ts";
import { flowShares, type LearnRun } from "./learn-run.ts";
import { lineThrough, surroundings } from "./slopes.ts";

/** What a run shows at one time. SI; engine speed in rpm. */
export interface Moment {
  readonly timeS: number;
  readonly speedMS: number;
  readonly rpm: number;
  /** 0 is first. */
  readonly gear: number;
  readonly slip: number;
  /** Force of the driven tyres on the road over the load on them. */
  readonly friction: number;
  /** Torque at the crankshaft with the clutch closed. */
  readonly torqueNm: number;
  /** Share of full flow that has reached the cylinders, and how much it varies around this time. */
  readonly share: number;
  readonly spread: number;
  /** Gauge; undefined without a sensor. */
  readonly bottlePa: number | undefined;
  /** The pedal has been down, in one gear and with the clutch home, for long enough. */
  readonly pulls: boolean;
  /** What slips is the tyre and no clutch. */
  readonly gripped: boolean;
}

const KMH = 3.6;
const RAD_S = Math.PI / 30;
/** Pedal that counts as down: full, less what a sensor's adjustment leaves. */
const DOWN_PERCENT = 97;
/** With less of it a gear may be being changed. */
const DRIVING_PERCENT = 20;
/** So long after the pedal went down, or a gear change, the clutch may still slip, s. */
const CLUTCH_S = 0.45;
/** Slower than this the sender's pulses come too seldom. */
const LEAST_MS = 6;
/** In first gear the clutch slips up to this multiple of the launch speed. */
const ABOVE_LAUNCH = 1.06;
/** Slip of a wheel that rolls with the car. */
const ROLLING_SLIP = 0.08;
/** Slip that has risen by so much rises, whatever the noise. */
const RISEN_SLIP = 0.012;
/** A gear change may take so much longer than the file says, s. */
const BEFORE_CHANGE_S = 0.25;
/** A pulse waits for its turn half a period on average. */
const PULSES = 0.5;
const SPREAD_S = 0.3;

/** A row of values with the lag of a first order, s, after a delay, s, at the times of records. */
function lagged(times: readonly number[], values: readonly number[], lagS: number): number[] {
  let now = values[0] ?? 0;
  return values.map((value, i) => {
    const dt = i === 0 ? 0 : times[i]! - times[i - 1]!;
    now += (value - now) * Math.min(1, dt / (lagS + dt));
    return now;
  });
}

function arrivedShares(run: LearnRun, times: readonly number[], lags: SupplyLags): number[] {
  const hz = (run.settings.flow as { frequencyHz?: number } | undefined)?.frequencyHz ?? 20;
  const asked = flowShares(run);
  return [PULSES / hz, lags.deliveryS, lags.torqueLagS].reduce<number[]>(
    (values, lag) => lagged(times, values, lag),
    asked,
  );
}

/** Load on the driven wheels follows the acceleration with the car's own lag. */
class Load {
  private readonly line: Driveline;
  private readonly lagS: number;
  private loadN: number;
  private lastS: number | undefined;

  constructor(line: Driveline, lagS: number) {
    this.line = line;
    this.lagS = lagS;
    this.loadN = line.staticN;
  }

  at(timeS: number, accelerationMS2: number): number {
    const { staticN, transferKg } = this.line;
    const wanted = staticN + transferKg * accelerationMS2;
    const dt = this.lastS === undefined ? 0 : timeS - this.lastS;
    this.lastS = timeS;
    this.loadN += (wanted - this.loadN) * (1 - Math.exp(-dt / this.lagS));
    return Math.max(0.1 * staticN, this.loadN);
  }
}

/** When pedal and gearbox last let the clutch slip, and whether it has come home since. */
class Clutch {
  private sinceS = Number.NEGATIVE_INFINITY;
  private gear = 0;
  private rolled = false;
  private leastSlip = Number.POSITIVE_INFINITY;

  look(timeS: number, gear: number, driving: boolean, slip: number, free: boolean): void {
    if (gear !== this.gear || !driving || free) {
      this.sinceS = timeS;
      this.rolled = false;
      this.leastSlip = Number.POSITIVE_INFINITY;
      this.gear = gear;
    }
    if (timeS - this.sinceS < CLUTCH_S) return;
    this.leastSlip = Math.min(this.leastSlip, slip);
    if (slip < ROLLING_SLIP || (gear > 0 && slip > this.leastSlip + RISEN_SLIP)) this.rolled = true;
  }

  /**
   * What slips is the tyre and no clutch: the wheels have once rolled with the car, or what slips has become more, which it never
   * does in a clutch that comes home. In first gear an engine may run away from its clutch.
   */
  get isHome(): boolean {
    return this.rolled;
  }
}

const spreadAround = (times: readonly number[], shares: readonly number[], i: number): number => {
  let [low, high] = [shares[i]!, shares[i]!];
  for (let k = i; k >= 0 && times[i]! - times[k]! <= SPREAD_S; k--) {
    low = Math.min(low, shares[k]!);
    high = Math.max(high, shares[k]!);
  }
  return high - low;
};

const ARMED: readonly number[] = ["armed", "flowing"].map((name) => MODES.indexOf(name as never));
const isArmed = ({ mode = -1 }: LogSample): boolean => ARMED.includes(mode);

const lowest = (samples: readonly LogSample[], [from, to]: readonly [number, number]): number =>
  samples.slice(from, to + 1).reduce((least, { throttle = 0 }) => Math.min(least, throttle), 100);

/** Before a gear shows in the speeds the change has been under way: with the pedal down only the ignition was cut. */
function withoutChanges(moments: readonly Moment[], changeS: number): Moment[] {
  const changes = moments.filter(({ gear }, i) => i > 0 && gear !== moments[i - 1]!.gear);
  const isChange = ({ timeS }: Moment): boolean =>
    changes.some((change) => timeS < change.timeS && timeS > change.timeS - changeS);
  return moments.map((moment) => (isChange(moment) ? { ...moment, pulls: false, gripped: false } : moment));
}

/** Every moment at which the car moves and its records are whole, in order. */
export function momentsOf(run: LearnRun, car: CarData, lags: SupplyLags): Moment[] {
  return withoutChanges(rawMoments(run, car, lags), car.shiftS + BEFORE_CHANGE_S);
}

function rawMoments(run: LearnRun, car: CarData, lags: SupplyLags): Moment[] {
  const { samples } = run;
  const times = samples.map(({ time = 0 }) => time);
  const shares = arrivedShares(run, times, lags);
  const around = surroundings(samples);
  const line = new Driveline(car);
  const load = new Load(line, car.motion.axleLagS);
  const clutch = new Clutch();
  let gear = 0;
  return samples.flatMap((sample, i): Moment[] => {
    const span = around[i];
    if (span === undefined || !isArmed(sample) || (sample.roadSpeed ?? 0) / KMH < LEAST_MS) return [];
    const timeS = times[i]!;
    const road = lineThrough(samples, "roadSpeed", span, timeS);
    const engine = lineThrough(samples, "engineSpeed", span, timeS);
    const [speedMS, accelerationMS2] = [road.value / KMH, road.perS / KMH];
    gear = gearAt(car, gear, engine.value, speedMS);
    const slip = slipAt(car, gear, engine.value, speedMS);
    const perM = line.perM[gear]!;
    const pedal = lowest(samples, span);
    const free = gear === 0 && engine.value < ABOVE_LAUNCH * car.launchRpm;
    clutch.look(timeS, gear, pedal >= DRIVING_PERCENT, slip, free);
    const tyreN = line.carKg * accelerationMS2 + resistanceN(car, speedMS);
    const treadMS2 = (engine.perS * RAD_S) / perM;
    const { bottle } = sample;
    return [
      {
        timeS,
        speedMS,
        rpm: engine.value,
        gear,
        slip,
        friction: tyreN / load.at(timeS, accelerationMS2),
        torqueNm: (tyreN + line.lockedKg[gear]! * treadMS2) / (perM * car.efficiency),
        share: shares[i]!,
        spread: spreadAround(times, shares, i),
        bottlePa: run.settings.bottle === undefined ? undefined : (bottle ?? 0) * 1000,
        pulls: pedal >= DOWN_PERCENT && clutch.isHome && engine.value < car.motion.limiterRpm - 50,
        gripped: clutch.isHome,
      },
    ];
  });
}
