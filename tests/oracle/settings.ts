// The settings document as the oracle reads it: the table's names with types, so that no path is spelled wrong.
import type { GEARS } from "#shared-schema/settings/choices.ts";

/** Calibrated sensor; millivolts at the connector. */
interface Plausible {
  plausibleLowMv: number;
  plausibleHighMv: number;
}

export interface ThrottlePosition extends Plausible {
  closedMv: number;
  openMv: number;
  opensAtPermille: number;
  closesAtPermille: number;
}

interface TwoPoint extends Plausible {
  lowPointMv: number;
  highPointMv: number;
}

export interface ManifoldSensor extends TwoPoint {
  lowDeciKpa: number;
  highDeciKpa: number;
  overboost?: { aboveDeciKpa: number };
}

export interface BottleSensor extends TwoPoint {
  lowKpaGauge: number;
  highKpaGauge: number;
  lowestKpaGauge: number;
  highestKpaGauge: number;
  hysteresisKpaGauge: number;
}

export interface FuelSensor extends TwoPoint {
  lowDeciKpaGauge: number;
  highDeciKpaGauge: number;
  lowestDeciKpaGauge: number;
}

export interface LambdaSensor extends TwoPoint {
  lowMilliLambda: number;
  highMilliLambda: number;
  leanestMilliLambda: number;
  withinMs: number;
}

/** Judged by voltage alone: it falls as the coolant warms. */
export interface CoolantSensor extends Plausible {
  coldAboveMv: number;
  hotBelowMv: number;
}

/** The windows; each of the first three without its unit suffix is a `Limits`. */
export interface Windows {
  engineSpeed?: { openRpm: number; closeRpm: number; hysteresisRpm: number };
  roadSpeed?: { openDeciKmh: number; closeDeciKmh: number; hysteresisDeciKmh: number };
  manifold?: { openDeciKpa: number; closeDeciKpa: number; hysteresisDeciKpa: number };
  gears?: { lowest: (typeof GEARS)[number]; highest: (typeof GEARS)[number] };
}

export interface Solenoid {
  opening10VUs: number;
  opening12VUs: number;
  opening14VUs: number;
  closingUs: number;
}

export type Axis = "time" | "launch" | "engine-speed" | "road-speed" | "manifold";

export interface Ramp {
  over: Axis;
  points: [number, number][];
}

export interface Stage extends Windows {
  kind: "wet" | "dry";
  longestMs: number;
  nitrousSolenoid: Solenoid;
  fuelSolenoid?: Solenoid;
  portionPermille: number;
  enrichment?: { withinMs: number };
  follows?: { sharePermille: number };
  delay?: { waitMs: number };
  ramps: Ramp[];
}

export interface Settings {
  engine: {
    pulsesHalfPulses: number;
    revLimiterRpm: number;
    lowSpeedAcknowledged: "no" | "yes";
    jump?: { fastestRpmPerS: number; unevennessPermille: number };
  };
  road?: { pulsesPerKm: number; sender: "driveshaft" | "driven-wheel" | "undriven-wheel" };
  gearbox?: { tolerancePermille: number; gears: { ratioDeciRpmPerKmh: number }[] };
  launch?: { startsAt: "press" | "release" };
  throttle: { switch: "no" | "yes"; position?: ThrottlePosition };
  manifold?: ManifoldSensor;
  bottle?: BottleSensor;
  fuel?: FuelSensor;
  lambda?: LambdaSensor;
  coolant?: CoolantSensor;
  battery: { lowestMv: number };
  windows: Windows;
  flow: {
    frequencyHz: number;
    riseLimitPercentPerS: number;
    longestRunMs: number;
    afterLift: "restart" | "resume" | "step-back";
    stepBackMs: number;
  };
  driveline?: { fastestDeciKmhPerS: number; cutToPermille: number; holdMs: number };
  retard?: {
    fullSignalDeciDeg: number;
    leadMs: number;
    table: { flowPermille: number; angleDeciDeg: number }[];
  };
  purge?: { longestMs: number; eachMinuteMs: number };
  heater?: { onBelowKpaGauge: number; offAtKpaGauge: number; longestS: number };
  bottleValve?: { opensWithinMs: number };
  clamps?: { kickMv: number };
  stages: Stage[];
}

/** A window in the unit of its input. */
export interface Limits {
  open: number;
  close: number;
  hysteresis: number;
}

export type WindowName = "engineSpeed" | "roadSpeed" | "manifold";
export const WINDOW_NAMES: readonly WindowName[] = ["engineSpeed", "roadSpeed", "manifold"];

/** Limits of a window; undefined when it is left out. */
export function limitsOf(windows: Windows, name: WindowName): Limits | undefined {
  const { engineSpeed: e, roadSpeed: r, manifold: m } = windows;
  if (name === "engineSpeed") return e && { open: e.openRpm, close: e.closeRpm, hysteresis: e.hysteresisRpm };
  if (name === "roadSpeed")
    return r && { open: r.openDeciKmh, close: r.closeDeciKmh, hysteresis: r.hysteresisDeciKmh };
  return m && { open: m.openDeciKpa, close: m.closeDeciKpa, hysteresis: m.hysteresisDeciKpa };
}

/** A two-point calibration of an analog sensor, in the unit of what it measures. */
export interface Line {
  readonly lowMv: number;
  readonly low: number;
  readonly highMv: number;
  readonly high: number;
}

export type SensorName = "throttle" | "manifold" | "bottle" | "fuel" | "lambda";

/** Calibration of a sensor; undefined when it is not fitted. */
export function lineOf(
  { throttle, manifold: m, bottle: b, fuel: f, lambda: l }: Settings,
  name: SensorName,
): Line | undefined {
  const t = throttle.position;
  if (name === "throttle") return t && { lowMv: t.closedMv, low: 0, highMv: t.openMv, high: 1000 };
  if (name === "manifold") return m && lineAt(m, m.lowDeciKpa, m.highDeciKpa);
  if (name === "bottle") return b && lineAt(b, b.lowKpaGauge, b.highKpaGauge);
  if (name === "fuel") return f && lineAt(f, f.lowDeciKpaGauge, f.highDeciKpaGauge);
  return l && lineAt(l, l.lowMilliLambda, l.highMilliLambda);
}

function lineAt(sensor: TwoPoint, low: number, high: number): Line {
  return { lowMv: sensor.lowPointMv, low, highMv: sensor.highPointMv, high };
}

/** Voltage at which a sensor shows a value, millivolts. */
export function mvAt({ lowMv, low, highMv, high }: Line, value: number): number {
  return lowMv + ((value - low) * (highMv - lowMv)) / (high - low);
}
