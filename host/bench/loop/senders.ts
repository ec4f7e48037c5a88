// Turns what the car does into what the controller's connectors see, by the calibrations in its settings.
import { ADC_A } from "#shared-schema/model/pins.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import type { Connectors } from "./connectors.ts";

/** What senders and sensors of a car measure; pressures in Pa, of bottle and fuel gauge, of the manifold absolute. */
export interface Measured {
  engineRpm: number;
  speedMS: number;
  wheelMS: number;
  pedal: number;
  manifoldPa: number;
  bottlePa: number;
  fuelPa: number;
  lambda: number;
  batteryV: number;
}

type Group = Readonly<Record<string, number>>;

/** A straight line. */
interface Line {
  readonly channel: number;
  readonly at0Mv: number;
  readonly mvPer: number;
}

function lineOf(
  name: (typeof ADC_A)[number],
  low: number,
  lowMv: number,
  high: number,
  highMv: number,
): Line {
  const mvPer = (highMv - lowMv) / (high - low);
  return { channel: ADC_A.indexOf(name), at0Mv: lowMv - low * mvPer, mvPer };
}

/** Line of a sensor with two calibration points over SI units; undefined when it is not fitted. `perUnit`: stored counts for one SI unit. */
function sensorLine(
  settings: Document,
  name: "manifold" | "bottle" | "fuel" | "lambda",
  suffix: string,
  perUnit: number,
): Line | undefined {
  const points = settings[name] as Group | undefined;
  if (!points) return undefined;
  const value = (end: "low" | "high"): number => points[`${end}${suffix}`]! / perUnit;
  return lineOf(name, value("low"), points.lowPointMv!, value("high"), points.highPointMv!);
}

function throttleLine(settings: Document): Line | undefined {
  const position = (settings.throttle as { position?: Group }).position;
  return position && lineOf("throttle", 0, position.closedMv!, 1, position.openMv!);
}

/** Voltage of a coolant sensor on a warm engine, mV. */
function warmMv(settings: Document): number {
  const coolant = settings.coolant as Group | undefined;
  return coolant ? (coolant.coldAboveMv! + coolant.hotBelowMv!) / 2 : 0;
}

/** Senders of a car that is wired for some settings. */
export class Senders {
  private readonly engineHzPerRpm: number;
  private readonly roadHzPerMS: number;
  /** The road speed sender turns with a driven wheel. */
  private readonly driven: boolean;
  private readonly throttle: Line | undefined;
  private readonly manifold: Line | undefined;
  private readonly bottle: Line | undefined;
  private readonly fuel: Line | undefined;
  private readonly lambda: Line | undefined;
  private readonly coolantMv: number;

  constructor(settings: Document) {
    const { engine, road } = settings as { engine: Group; road?: Group & { sender: string } };
    this.engineHzPerRpm = engine.pulsesHalfPulses! / 120;
    this.roadHzPerMS = (road?.pulsesPerKm ?? 0) / 1000;
    this.driven = road !== undefined && (road.sender as unknown) !== "undriven-wheel";
    this.throttle = throttleLine(settings);
    this.manifold = sensorLine(settings, "manifold", "DeciKpa", 0.01);
    this.bottle = sensorLine(settings, "bottle", "KpaGauge", 0.001);
    this.fuel = sensorLine(settings, "fuel", "DeciKpaGauge", 0.01);
    this.lambda = sensorLine(settings, "lambda", "MilliLambda", 1000);
    this.coolantMv = warmMv(settings);
  }

  /** Road speed as the sender has it, m/s. */
  roadMS(car: Measured): number {
    return this.driven ? car.wheelMS : car.speedMS;
  }

  /** Sets every sender and sensor. */
  put(car: Measured, to: Connectors): void {
    to.engineHz = car.engineRpm * this.engineHzPerRpm;
    to.roadHz = this.roadMS(car) * this.roadHzPerMS;
    to.batteryMv = car.batteryV * 1000;
    const { sensorsMv } = to;
    set(sensorsMv, this.throttle, car.pedal);
    set(sensorsMv, this.manifold, car.manifoldPa);
    set(sensorsMv, this.bottle, car.bottlePa);
    set(sensorsMv, this.fuel, car.fuelPa);
    set(sensorsMv, this.lambda, car.lambda);
    sensorsMv[COOLANT] = this.coolantMv;
  }
}

/** Throttle openings at which the switch closes and opens where no position sensor says when (common practice, no source). */
const USUAL_SWITCH = { opensAtPermille: 950, closesAtPermille: 900 };

/** A throttle switch, adjusted to what the settings call wide open, as a car's must be. */
export class ThrottleSwitch {
  private readonly closes: number;
  private readonly opens: number;
  private closed = false;

  constructor(settings: Document) {
    const { position } = settings.throttle as { position?: typeof USUAL_SWITCH };
    const { opensAtPermille, closesAtPermille } = position ?? USUAL_SWITCH;
    this.closes = opensAtPermille / 1000;
    this.opens = closesAtPermille / 1000;
  }

  /** Is it closed, with the throttle so far open? */
  at(opening: number): boolean {
    if (opening >= this.closes) this.closed = true;
    else if (opening < this.opens) this.closed = false;
    return this.closed;
  }
}

const COOLANT = ADC_A.indexOf("coolant");

function set(sensorsMv: Float64Array, line: Line | undefined, value: number): void {
  if (line) sensorsMv[line.channel] = line.at0Mv + line.mvPer * value;
}
