// Runs of cars that are not as their car files say: other grip, power, slip curve, lags, driver, integration step and noise.
import { ClosedLoop, type DrivenCar } from "#host/bench/loop/closed-loop.ts";
import { AS_PLANNED, noise, under } from "#host/bench/loop/conditions.ts";
import { openConnectors } from "#host/bench/loop/connectors.ts";
import { type Controller, SOLENOIDS } from "#host/bench/loop/controller.ts";
import { type Driven, drive } from "#host/bench/loop/drive.ts";
import { RunRandom } from "#host/bench/loop/random.ts";
import { GO_S, launchScript } from "#host/bench/loop/script.ts";
import type { CarData } from "#host/car/car.ts";
import type { Driver } from "#host/car/driver.ts";
import { scaledCurve } from "#host/car/torque-curve.ts";
import type { LearnRun } from "#host/learn/learn-run.ts";
import { pullPages, runOf } from "#host/logbook/runs.ts";
import { TICK_US } from "#shared-schema/model/blocks.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import { flashWith, rigWith } from "./driven.ts";
import { FlashLog } from "./flash-log.ts";

/** How a car differs from its file; shares of what the file says. */
export interface Hidden {
  readonly grip?: number;
  readonly engine?: number;
  readonly nitrous?: number;
  /** Friction over slip, both as shares of those at the peak. */
  readonly curve?: readonly (readonly [slip: number, friction: number])[];
  /** On all time constants of load, filling, mixture and torque. */
  readonly lags?: number;
  /** Steps of the car's motion in each millisecond. */
  readonly stepsInMs?: number;
  readonly noiseMv?: number;
  readonly driver?: Partial<Driver>;
  readonly seed?: number;
}

const QUARTER_M = 402.336;
const LONGEST_S = 40;
/** The controller records for half a second after it is off. */
const AFTER_MS = 600;
const MS = 1e-3;

function hiddenCar(car: CarData, { grip = 1, engine = 1, curve, lags = 1 }: Hidden): CarData {
  const peak = Math.max(...car.grip.curve.map(([, friction]) => friction)) * grip;
  const peakSlip = car.motion.peakSlip;
  const points: [number, number][] = curve?.map(([slip, share]) => [slip * peakSlip, share * peak]) ?? [
    [0, peak],
  ];
  const { motion } = car;
  return {
    ...car,
    grip: { ...car.grip, curve: points },
    torque: scaledCurve(car.torque, engine),
    motion: { ...motion, axleLagS: motion.axleLagS * lags, intakeS: motion.intakeS * lags },
  };
}

/** The car as it really is. */
export function hiddenOf({ car, driver, supply }: DrivenCar, hidden: Hidden): DrivenCar {
  const { lags = 1, nitrous = 1 } = hidden;
  const flowing = under({ car, driver, supply }, { ...AS_PLANNED, flowShare: nitrous }).supply;
  return {
    car: hiddenCar(car, hidden),
    driver: { ...driver, ...hidden.driver },
    supply: {
      ...flowing,
      deliveryS: supply.deliveryS * lags,
      torqueLagS: supply.torqueLagS * lags,
    },
  };
}

/** A run, as it went and as the controller has stored it. */
export interface HiddenRun extends Driven {
  readonly run: LearnRun;
  /** The longest that any solenoid pin was high, s, and the nitrous drawn, kg. */
  readonly longestHighS: number;
  readonly drawnKg: number;
  readonly pages: readonly Uint8Array[];
}

function longestHighS(controller: Controller): number {
  let longest = 0;
  for (let n = 0; n < SOLENOIDS; n++)
    controller.pinEdges(n).forEach(({ ns, level }, i, edges) => {
      if (level === 0 && i > 0) longest = Math.max(longest, (ns - edges[i - 1]!.ns) / 1e9);
    });
  return longest;
}

/** Drives a hidden car over a quarter mile with some settings, and reads its log back. */
export async function hiddenRun(
  planned: DrivenCar,
  settings: Document,
  hidden: Hidden = {},
  name = "run.hgrun",
): Promise<HiddenRun> {
  const controller = rigWith(flashWith(settings));
  const seed = hidden.seed ?? 1;
  const loop = new ClosedLoop({
    ...hiddenOf(planned, hidden),
    settings,
    controller,
    script: launchScript(settings),
    disturb: noise({ ...AS_PLANNED, noiseMv: hidden.noiseMv ?? 0 }, new RunRandom(seed, 0)),
  });
  const { stepsInMs = 1 } = hidden;
  const step = loop.motion.step.bind(loop.motion);
  loop.motion.step = () => {
    for (let i = 0; i < stepsInMs; i++) step(MS / stepsInMs);
  };
  const driven = drive(loop, {
    until: { distanceM: QUARTER_M },
    watch: (now) => {
      if (now.nowS > GO_S + LONGEST_S) throw new Error("the car does not arrive");
    },
  });
  const log = new FlashLog(controller.rig);
  for (let ms = 0; ms < AFTER_MS; ms++) controller.run(openConnectors(), TICK_US);
  log.settle();
  const pages = await pullPages(log, log.now(), 1);
  return {
    ...driven,
    run: { name, key: `${name}-${seed}`, samples: runOf(pages).samples, settings },
    longestHighS: longestHighS(controller),
    drawnKg: loop.supply.drawnKg,
    pages,
  };
}
