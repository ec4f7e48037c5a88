/** A planned run as it will be driven: driver, clutch, slip and lags of the stepped motion, waits of the controller, a bottle that empties. */
import type { CarData } from "#host/car/car.ts";
import type { Driver } from "#host/car/driver.ts";
import { createMotion, type Motion } from "#host/car/motion.ts";
import { EIGHTH_MILE_M, QUARTER_MILE_M } from "#host/car/quarter-mile.ts";
import type { Run, Sample } from "#host/car/settled/run.ts";
import { driveLimitN, peakFriction, shareLimit } from "#host/car/settled/traction.ts";
import { createSupply, type Supply } from "#host/car/supply.ts";
import type { StageSupply, SupplyData } from "#host/car/supply-data.ts";
import { type ControllerData, ControllerModel, type Seen } from "./controller-model.ts";

/** How a run differs from the plan: grip and flow as shares of the planned, and how late the car goes, s. */
export interface RunEdges {
  readonly gripShare: number;
  readonly lateS: number;
  readonly flowShare: number;
  /** The battery is as low as the settings allow, so that the valves take longest to open. */
  readonly lowBattery?: boolean | undefined;
}

/** As planned. */
export const PLANNED_EDGES: RunEdges = { gripShare: 1, lateS: 0, flowShare: 1 };

/** What drives. Without `nitrous` on the engine alone. */
export interface DrivenOptions {
  readonly car: CarData;
  readonly driver: Driver;
  /** The road speed sender turns with a driven wheel. */
  readonly driven: boolean;
  readonly nitrous?: NitrousRun | undefined;
  readonly edges?: RunEdges;
  /** Ends the run once the tyres are beyond their peak for longer than this, s. */
  readonly mostSpinS?: number;
  /** Manifold pressure, absolute Pa, whose time is taken. */
  readonly boostPa?: number | undefined;
  /** Left out: yes. */
  readonly keepsSamples?: boolean;
}

/** Supply with valves that answer at once (the controller has their times), and who commands it. */
export interface NitrousRun {
  readonly supply: SupplyData;
  readonly control: ControllerData;
}

/** A driven run; its times count from the first movement. */
export interface DrivenRun extends Run {
  /** When the manifold pressure first was that of `boostPa`, s; undefined if never. */
  readonly boostedS: number | undefined;
  /** Time beyond the slip at which the tyres grip most, s, and the worst slip. */
  readonly overPeakS: number;
  readonly worstSlip: number;
}

const STEP_S = 0.0025;
const SAMPLE_EVERY = 4;
/** From pedal down to the launch switch. */
const STAGED_S = 0.8;
const LONGEST_S = 60;

const scaled = (car: CarData, share: number): CarData =>
  share === 1
    ? car
    : {
        ...car,
        grip: {
          ...car.grip,
          curve: car.grip.curve.map(([slip, friction]) => [slip, friction * share] as const),
        },
      };

function suppliedBy({ supply }: NitrousRun, flowShare: number): Supply {
  const stages = supply.stages.map(
    ({ addedW, nitrousKgS, fuelKgS, nitrousValve, fuelValve }): StageSupply => ({
      addedW: addedW * flowShare,
      nitrousKgS: nitrousKgS * flowShare,
      fuelKgS,
      nitrousValve,
      fuelValve,
    }),
  );
  return createSupply({ ...supply, stages });
}

/** What the controller sees at a step. */
class Sight implements Seen {
  rpm = 0;
  roadMS = 0;
  launchS = 0;
  pedal = 0;
  manifoldPa = 0;
}

/** Everything that moves in one run. */
class Drive {
  readonly motion: Motion;
  readonly control: ControllerModel | undefined;
  readonly samples: Sample[] = [];
  startS: number | undefined;
  boostedAtS: number | undefined;
  overPeakS = 0;
  worstSlip = 0;
  private readonly supply: Supply | undefined;
  private readonly seen = new Sight();
  private readonly driven: boolean;
  private readonly window: NitrousRun["control"]["window"] | undefined;
  private readonly boostPa: number;
  private readonly goS: number;

  /** What a step reads of the options is copied: their shapes differ, and compiled code is thrown away for each new one. */
  constructor(options: DrivenOptions) {
    const { nitrous, edges = PLANNED_EDGES } = options;
    this.driven = options.driven;
    this.window = nitrous?.control.window;
    this.boostPa = options.boostPa ?? Number.POSITIVE_INFINITY;
    this.goS = STAGED_S + edges.lateS - STEP_S / 2;
    this.motion = createMotion(scaled(options.car, edges.gripShare), options.driver);
    this.supply = nitrous && suppliedBy(nitrous, edges.flowShare);
    this.control = nitrous && new ControllerModel(nitrous.control, STEP_S);
  }

  step(): void {
    const { motion, supply, control } = this;
    const before = motion.timeS;
    motion.input.pedal = 1;
    motion.input.hold = before < this.goS;
    if (supply && control) {
      control.step(this.look());
      for (let i = 0; i < supply.stages.length; i++) supply.stages[i]!.nitrousOn = control.delivered[i]!;
      supply.step(STEP_S);
      motion.input.addedW = supply.addedW;
    }
    motion.step(STEP_S);
    if (motion.slip > motion.peakSlip) this.overPeakS += STEP_S;
    this.worstSlip = Math.max(this.worstSlip, motion.slip);
    if (motion.distanceM > 0) this.startS ??= before;
    if (motion.manifoldPa >= this.boostPa) this.boostedAtS ??= motion.timeS;
  }

  private look(): Seen {
    const { motion, seen } = this;
    seen.rpm = motion.engineRpm;
    seen.roadMS = this.driven ? motion.wheelMS : motion.speedMS;
    seen.launchS = motion.timeS - STAGED_S;
    seen.pedal = motion.pedal;
    seen.manifoldPa = motion.manifoldPa;
    return seen;
  }

  /** Share of all nitrous that flows now. */
  private share(): number {
    const stages = this.supply?.stages ?? [];
    const whole = stages.reduce((sum, stage) => sum + stage.data.addedW, 0);
    return (
      stages.reduce((sum, { data }, i) => sum + this.control!.delivered[i]! * data.addedW, 0) / (whole || 1)
    );
  }

  /** One row, as the limit run has them. */
  sample(): void {
    const { motion, control } = this;
    const { car, gear, speedMS } = motion;
    const locked = motion.clutch === "locked";
    const rpm = motion.engineRpm;
    const nitrous = this.window;
    const open = control?.open ?? false;
    const timeS = motion.timeS - this.startS!;
    const at = { gear, speedMS, rpm, locked };
    this.samples.push({
      ...at,
      timeS,
      distanceM: motion.distanceM,
      shifting: motion.shifting,
      open,
      share: this.share(),
      shareLimit: open && nitrous ? shareLimit(car, nitrous.addedW, { ...at, sinceS: timeS }, nitrous) : 1,
      accelerationMS2: motion.accelerationMS2,
      forceN: motion.driveN,
      forceLimitN: driveLimitN(car, gear, speedMS, peakFriction(car.grip), locked),
    });
  }
}

/** Time, s, at a distance, m, between two steps. */
function passed(drive: Drive, beforeM: number, atM: number): number {
  const { distanceM, timeS } = drive.motion;
  return timeS - (STEP_S * (distanceM - atM)) / (distanceM - beforeM) - drive.startS!;
}

/** Drives a quarter mile, or for 60 s at most (times are then infinite). */
export function driveRun(options: DrivenOptions): DrivenRun {
  const drive = new Drive(options);
  const { motion } = drive;
  const keeps = options.keepsSamples ?? true;
  const most = options.mostSpinS ?? Number.POSITIVE_INFINITY;
  let [eighthS, quarterS] = [Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY];
  for (let n = 0; motion.timeS < LONGEST_S && drive.overPeakS <= most; n++) {
    const beforeM = motion.distanceM;
    drive.step();
    if (drive.startS === undefined) continue;
    if (beforeM < EIGHTH_MILE_M && motion.distanceM >= EIGHTH_MILE_M)
      eighthS = passed(drive, beforeM, EIGHTH_MILE_M);
    const over = motion.distanceM >= QUARTER_MILE_M;
    if (keeps && (over || n % SAMPLE_EVERY === 0)) drive.sample();
    if (!over) continue;
    quarterS = passed(drive, beforeM, QUARTER_MILE_M);
    break;
  }
  const { samples, overPeakS, worstSlip, boostedAtS } = drive;
  const boostedS = boostedAtS === undefined ? undefined : boostedAtS - (drive.startS ?? 0);
  const spin = { overpoweredS: 0, overPeakS, worstSlip };
  return { samples, quarterS, eighthS, trapMS: motion.speedMS, boostedS, ...spin };
}
