// Where a car stands so that flow may begin: inside all of the system's windows and limits and, where there is room, one stage's too.
import { GEARS } from "#shared-schema/settings/choices.ts";
import type { Random } from "../support/random.ts";
import type { Point } from "./car.ts";
import {
  type Limits,
  type Line,
  limitsOf,
  lineOf,
  mvAt,
  type SensorName,
  type Settings,
  type Stage,
  type WindowName,
} from "./settings.ts";

/** A point, and whether the chosen stage may flow there too. */
export interface Chosen {
  readonly point: Point;
  readonly stage: number;
  readonly insideStage: boolean;
}

/** A foot that is flat on the floor pushes a little past the calibration. */
const PAST_OPEN_MV = 20;
const MARGIN = 12;
const LEAST_ROOM_KPA = 60;
const TRIES = 30;
const MOST: Record<WindowName, number> = { engineSpeed: 14_900, roadSpeed: 5900, manifold: 60_000 };

interface Range {
  readonly low: number;
  readonly high: number;
}

/** Where all given windows are entered, away from their edges; undefined when they have no such place in common. */
function common(windows: (Limits | undefined)[], most: number): Range | undefined {
  const given = windows.filter((w) => w !== undefined);
  const low = Math.max(0, ...given.map((w) => w.open)) + MARGIN;
  const high = Math.min(most, ...given.map((w) => w.close - w.hysteresis)) - MARGIN;
  return low <= high ? { low, high } : undefined;
}

function rangeOf(settings: Settings, name: WindowName, stage?: Stage): Range | undefined {
  const extra: (Limits | undefined)[] = [stage && limitsOf(stage, name)];
  const line = lineOf(settings, "manifold");
  if (name === "manifold" && line && settings.manifold) {
    const over = settings.manifold.overboost?.aboveDeciKpa ?? Infinity;
    extra.push(sensedRange(line, settings.manifold), { open: 0, close: over, hysteresis: 0 });
  }
  return common([limitsOf(settings.windows, name), ...extra], MOST[name]);
}

/** The values that a sensor can tell: inside its plausible voltages, by a few codes. */
function sensedRange(
  { lowMv, low, highMv, high }: Line,
  at: { plausibleLowMv: number; plausibleHighMv: number },
): Limits {
  const valueAt = (mv: number): number => low + ((mv - lowMv) * (high - low)) / (highMv - lowMv);
  const open = Math.max(0, Math.ceil(valueAt(at.plausibleLowMv + 5)));
  return { open, close: Math.floor(valueAt(at.plausibleHighMv - 5)), hysteresis: 0 };
}

const draw = (random: Random, range: Range | undefined): number =>
  range ? random.between(range.low, range.high) : 0;

/** Engine and road speed that agree with a gear that the windows allow; undefined when none was found. */
function speeds(
  random: Random,
  settings: Settings,
  stage?: Stage,
): [rpm: number, deciKmh: number] | undefined {
  const engine = rangeOf(settings, "engineSpeed", stage);
  const road = rangeOf(settings, "roadSpeed", stage);
  if (!engine || !road) return undefined;
  const gears = [settings.windows.gears, stage?.gears].filter((g) => g !== undefined);
  if (gears.length === 0) return [draw(random, engine), draw(random, road)];
  const from = Math.max(...gears.map((g) => GEARS.indexOf(g.lowest)));
  const allowed = settings.gearbox!.gears.slice(
    from,
    Math.min(...gears.map((g) => GEARS.indexOf(g.highest))) + 1,
  );
  for (let i = 0; i < TRIES && allowed.length > 0; i++) {
    const rpm = draw(random, engine);
    const deciKmh = Math.round((100 * rpm) / random.pick(allowed).ratioDeciRpmPerKmh);
    if (deciKmh >= road.low && deciKmh <= road.high) return [rpm, deciKmh];
  }
  return undefined;
}

/** Voltage at which a sensor shows `value`, kept plausible; middle of the range when the sensor is not fitted. */
function voltage(settings: Settings, name: Exclude<SensorName, "throttle">, value: number): number {
  const line = lineOf(settings, name);
  const sensor = settings[name];
  if (!line || !sensor) return 2500;
  return Math.min(sensor.plausibleHighMv - 5, Math.max(sensor.plausibleLowMv + 5, mvAt(line, value)));
}

/** Pressures between where the bottle's window is entered and its top, kPa; the rules allow less than nothing. */
function bottleRoom({ bottle }: Settings): number {
  return bottle ? bottle.highestKpaGauge - bottle.lowestKpaGauge - bottle.hysteresisKpaGauge : 1000;
}

function mixed(random: Random, settings: Settings): Omit<Point, "rpm" | "deciKmh" | "manifoldMv"> {
  const { throttle, bottle, fuel, lambda, coolant, battery } = settings;
  const b = bottle ?? { lowestKpaGauge: 6000, highestKpaGauge: 7000, hysteresisKpaGauge: 10 };
  const bottleKpa =
    b.lowestKpaGauge + b.hysteresisKpaGauge + Math.max(LEAST_ROOM_KPA, bottleRoom(settings)) / 2;
  return {
    throttleMv: throttle.position ? throttle.position.openMv + PAST_OPEN_MV : 2500,
    bottleMv: voltage(settings, "bottle", bottleKpa),
    fuelMv: voltage(settings, "fuel", (fuel?.lowestDeciKpaGauge ?? 0) + 60),
    lambdaMv: voltage(settings, "lambda", (lambda?.leanestMilliLambda ?? 0) - 30),
    coolantMv: coolant ? (coolant.coldAboveMv + coolant.hotBelowMv) / 2 : 2500,
    batteryMv: random.between(Math.max(10_000, battery.lowestMv + 100), 14_500),
  };
}

/** A point where everything is as it must be for flow, with the throttle wide open, and a stage that may flow there if it can: the one asked for, or any. */
export function operatingPoint(random: Random, settings: Settings, asked?: number): Chosen {
  const stage = asked ?? random.below(settings.stages.length);
  const own = settings.stages[stage]!;
  const both = speeds(random, settings, own);
  const manifold = rangeOf(settings, "manifold", own);
  const [rpm, deciKmh] = both ?? speeds(random, settings) ?? [5000, 800];
  const deciKpa = draw(random, manifold ?? rangeOf(settings, "manifold"));
  const point = {
    rpm,
    deciKmh,
    manifoldMv: voltage(settings, "manifold", deciKpa),
    ...mixed(random, settings),
  };
  const insideStage = both !== undefined && manifold !== undefined && bottleRoom(settings) > LEAST_ROOM_KPA;
  return { point, stage, insideStage };
}
