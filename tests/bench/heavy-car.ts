// The heaviest run that the settings allow: four wet stages, two ramps of twelve points each, every optional part, all flowing.
import { ADC_A } from "#shared-schema/model/pins.ts";
import type { Car } from "../oracle/car.ts";
import type { Settings } from "../oracle/settings.ts";
import { arm, fullSettings, standingCar } from "../oracle/stand.ts";

type Tree = Record<string, unknown>;

/** Pulses of the two shafts, as settings. */
export interface Pulses {
  readonly halfPulses: number;
  readonly perKm: number;
}

/** As usual, and so dense that both shafts give fresh ones in nearly every tick. */
export const USUAL_PULSES: Pulses = { halfPulses: 4, perKm: 4000 };
export const DENSE_PULSES: Pulses = { halfPulses: 16, perKm: 65_000 };

/** Eighth of eight gears; the battery lies between two voltages of the solenoids' table. */
const POINT = { rpm: 6400, deciKmh: 2800, throttleMv: 4000, manifoldMv: 1600, batteryMv: 13_800 };
const RATIOS = [1400, 1000, 760, 600, 480, 380, 300, 228];
/** Axis of each stage's second ramp, and its step: the place lies between the last two points. */
const AXES = [
  ["launch", 1500],
  ["engine-speed", 600],
  ["road-speed", 260],
  ["manifold", 92],
] as const;
/** Codes of the slow sensors at which everything may flow. */
const SLOW_CODES = { bottle: 2650, fuel: 2048, lambda: 1400, coolant: 1400 } as const;

function points(step: number): [number, number][] {
  return Array.from({ length: 12 }, (_, i) => [i * step, 350 + 40 * i]);
}

function heavyStage(stage: Tree, s: number, fuelSolenoid: unknown): void {
  const [over, step] = AXES[s]!;
  if (s === 0) delete stage.follows;
  else (stage.follows as Tree).sharePermille = 300;
  stage.kind = "wet";
  stage.fuelSolenoid = structuredClone(fuelSolenoid);
  (stage.delay as Tree).waitMs = 10;
  stage.longestMs = 30_000;
  (stage.gears as Tree).highest = "eighth";
  stage.ramps = [
    { over: "time", points: points(900) },
    { over, points: points(step) },
  ];
}

/** Settings of the heaviest run. Throws when they are not right. */
export function heavySettings({ halfPulses, perKm }: Pulses): Settings {
  return fullSettings((settings) => {
    const tree = settings as unknown as Record<string, Tree>;
    tree.engine!.pulsesHalfPulses = halfPulses;
    tree.road!.pulsesPerKm = perKm;
    tree.gearbox!.gears = RATIOS.map((ratioDeciRpmPerKmh) => ({ ratioDeciRpmPerKmh }));
    (tree.windows!.gears as Tree).highest = "eighth";
    tree.flow!.longestRunMs = 60_000;
    tree.flow!.riseLimitPercentPerS = 5000;
    const flows = [0, 100, 200, 300, 400, 1000];
    tree.retard!.table = flows.map((flowPermille) => ({ flowPermille, angleDeciDeg: flowPermille / 10 }));
    const stages = tree.stages as unknown as Tree[];
    const { fuelSolenoid } = stages[0]!;
    stages.forEach((stage, s) => {
      heavyStage(stage, s, fuelSolenoid);
    });
  });
}

/** What moves in the moving run, its start, the ends between which it goes to and fro, and the step of a tick. */
const MOVES = [
  { sender: "rpm", from: 6400, low: 6400, high: 6600, step: 15 },
  { sender: "deciKmh", from: 2800, low: 2720, high: 2900, step: 2 },
  { sender: "manifoldMv", from: 1600, low: 1480, high: 1600, step: 37 },
] as const;

/** Settings of a run in which places on ramps, the last stage's window and the gear, held by no window, move all the time. */
export function movingSettings(): Settings {
  const settings = structuredClone(heavySettings(DENSE_PULSES));
  const narrow = (from: number): [number, number][] => points(20).map(([at, share]) => [from + at, share]);
  delete settings.windows.gears;
  for (const stage of settings.stages) delete stage.gears;
  settings.gearbox!.tolerancePermille = 10;
  settings.stages[1]!.ramps[1]!.points = narrow(6380);
  settings.stages[2]!.ramps[1]!.points = narrow(2700);
  settings.stages[3]!.engineSpeed!.closeRpm = 6550;
  return settings;
}

/** The same where shares are made over several periods: frequency and shares at which the worst tick was found, of 133 pairs that were tried. */
const PATTERNS = { frequencyHz: 29, low: 350, high: 790 };

/** Settings of the moving run in which every stage's pattern has several periods, some of them open. */
export function patternSettings(): Settings {
  const settings = movingSettings();
  const { frequencyHz, low, high } = PATTERNS;
  settings.flow.frequencyHz = frequencyHz;
  for (const ramp of settings.stages.flatMap(({ ramps }) => ramps)) {
    const last = ramp.points.length - 1;
    ramp.points = ramp.points.map(([at], i) => [at, Math.round(low + ((high - low) * i) / last)]);
  }
  return settings;
}

/** Moves what moves, for one tick of the moving run. */
export function move(car: Car, tick: number): void {
  for (const { sender, from, low, high, step } of MOVES) {
    const there = 2 * (high - low);
    const way = (from - low + tick * step) % there;
    car.point[sender] = low + Math.min(way, there - way);
  }
}

/** A car with these settings, still standing; `watch` may lay itself around the rig's ticks before the plant does. */
export function heavyCar(settings: Settings, watch: (car: Car) => void): Car {
  const car = standingCar(settings, POINT);
  watch(car);
  for (const [name, code] of Object.entries(SLOW_CODES))
    car.stuckCodes.set(ADC_A.indexOf(name as keyof typeof SLOW_CODES), code);
  return car;
}

/** Arms with every switch in use and launches; all stages flow when it returns, after so many ticks. Throws when they do not. */
export function launchHeavy(car: Car, wait = 1500): void {
  for (const name of ["heater", "bottleValve", "launch"] as const) car.set(name, true);
  arm(car);
  for (let i = 0; i < 120; i++) car.tick();
  car.set("launch", false);
  car.set("purge", true);
  for (let i = 0; i < wait; i++) car.tick();
  if (car.flowing !== 0xf) throw new Error("not all stages flow: nothing heavy was measured");
}

/** A hold-off that what is set begins; back as it was, all stages flow again. Throws when nothing was held off, or stays so. */
function holdOff(car: Car, set: (low: boolean) => void): void {
  set(true);
  const flowing = (): number => car.flowing;
  for (let i = 0; i < 40 && flowing() !== 0; i++) car.tick();
  if (flowing() !== 0) throw new Error("a hold-off did not come");
  set(false);
  for (let i = 0; i < 1000; i++) car.tick();
  if (flowing() !== 0xf) throw new Error("not all stages flow again after a hold-off");
}

/** Battery and fuel pressure dip, once each: that they did is remembered for ten seconds. */
export function dip(car: Car): void {
  const fuel = ADC_A.indexOf("fuel");
  holdOff(car, (low) => {
    car.point.batteryMv = low ? 9000 : POINT.batteryMv;
  });
  holdOff(car, (low) => car.stuckCodes.set(fuel, low ? 100 : SLOW_CODES.fuel));
}
