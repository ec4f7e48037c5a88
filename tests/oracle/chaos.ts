// What goes wrong in front of a car: faults, edges of windows, noise, pauses; each begins at random, lasts a while and is undone.
import { WATCHDOG_US } from "#shared-schema/model/blocks.ts";
import type { Random } from "../support/random.ts";
import type { Car, Point } from "./car.ts";
import {
  type Limits,
  limitsOf,
  lineOf,
  mvAt,
  type SensorName,
  type Settings,
  type WindowName,
} from "./settings.ts";

/** Begins a disturbance; it is undone by setting everything back. */
type Event = (chaos: Chaos) => unknown;

const LONGEST_TICKS = 40;
const NONE = 255;
const WRAP = 2 ** 32;

function nearEdge(chaos: Chaos, name: WindowName): number | undefined {
  const { random, settings } = chaos;
  const windows = [settings.windows, ...settings.stages].map((w) => limitsOf(w, name));
  const given = windows.filter((w): w is Limits => w !== undefined);
  if (given.length === 0) return undefined;
  const { open, close, hysteresis } = random.pick(given);
  const edge = random.pick([open, close, open - hysteresis, close - hysteresis]);
  return Math.max(1, edge + random.between(-3, 3));
}

/** Limits that hang on a sensor's value. */
function sensorEdges(chaos: Chaos): Partial<Record<SensorName, number[]>> {
  const { throttle, manifold, bottle, fuel, lambda } = chaos.settings;
  const window = nearEdge(chaos, "manifold");
  return {
    throttle: throttle.position
      ? [throttle.position.opensAtPermille, throttle.position.closesAtPermille]
      : [],
    manifold: [window, manifold?.overboost?.aboveDeciKpa].filter((edge) => edge !== undefined),
    bottle: bottle ? [bottle.lowestKpaGauge, bottle.highestKpaGauge] : [],
    fuel: fuel ? [fuel.lowestDeciKpaGauge] : [],
    lambda: lambda ? [lambda.leanestMilliLambda] : [],
  };
}

/** Puts a sensor's voltage a little off one of its limits, or of its plausible range. */
function sensorNearEdge(chaos: Chaos): void {
  const { random, settings, car } = chaos;
  const [name, edges] = random.pick(Object.entries(sensorEdges(chaos)) as [SensorName, number[]][]);
  const line = lineOf(settings, name);
  if (!line || edges.length === 0) return;
  car.point[`${name}Mv`] = Math.max(0, mvAt(line, random.pick(edges) + random.between(-6, 6)));
}

function plausibleEdge({ random, settings, car }: Chaos): void {
  const { throttle, manifold, bottle, fuel, lambda, coolant } = settings;
  const all = { throttle: throttle.position, manifold, bottle, fuel, lambda, coolant };
  const fitted = Object.entries(all).flatMap(([name, sensor]) => (sensor ? [{ name, sensor }] : []));
  if (fitted.length === 0) return;
  const { name, sensor } = random.pick(fitted);
  const edge = random.pick([sensor.plausibleHighMv, sensor.plausibleLowMv]);
  car.point[`${name as SensorName | "coolant"}Mv`] = edge + random.between(-4, 4);
}

function coolantOrBattery({ random, settings, car }: Chaos): void {
  const { coolant, battery } = settings;
  if (random.oneIn(2)) car.point.batteryMv = battery.lowestMv + random.between(-30, 30);
  else if (coolant)
    car.point.coolantMv = random.pick([coolant.coldAboveMv, coolant.hotBelowMv]) + random.between(-6, 6);
}

const EVENTS: readonly Event[] = [
  ({ car }) => car.set("throttle", false),
  ({ car, random }) => random.oneIn(2) && car.set("enrich", false),
  ({ car, random }) => car.set("launch", random.oneIn(2)),
  ({ car, random }) => car.set(random.pick(["purge", "heater", "bottleValve"]), true),
  ({ car }) => car.set("arm", false),
  ({ car, random }) => {
    car.raw.armCuts += random.between(1, 6);
  },
  (chaos) => {
    chaos.car.point.rpm = nearEdge(chaos, "engineSpeed") ?? chaos.car.point.rpm;
  },
  (chaos) => {
    chaos.car.point.deciKmh = nearEdge(chaos, "roadSpeed") ?? chaos.car.point.deciKmh;
  },
  sensorNearEdge,
  sensorNearEdge,
  sensorNearEdge,
  plausibleEdge,
  coolantOrBattery,
  ({ car, random }) =>
    random.oneIn(20) && car.wiring.stuckDrainsMv.set(random.below(8), random.between(0, 14_000)),
  ({ car, random }) => {
    car.point.rpm = random.between(0, 16_000);
  },
  ({ car, random }) => {
    car.point.rpm *= random.pick([1 / 2, 2]);
  },
  ({ car, random }) => {
    car.point.deciKmh = random.between(0, 6000);
  },
  ({ car, random }) => {
    car.stuckCodes.set(random.below(8), random.pick([0, 4095, random.below(4096)]));
  },
  ({ car, random }) => {
    car.raw.adcMissing = random.pick([1 << random.below(16), 0xffff, random.below(0x10000)]);
  },
  ({ car }) => {
    car.adcFrozen = true;
  },
  ({ car }) => {
    car.engineWireCut = true;
  },
  ({ car, random }) => car.spuriousPulse(car.raw.nowUs - random.below(900)),
];

/** Drives one car through random good and bad times. */
export class Chaos {
  readonly random: Random;
  readonly car: Car;
  readonly settings: Settings;
  private readonly base: Point;
  private badTicks = 0;
  private readonly calm: number;

  constructor(random: Random, car: Car, settings: Settings) {
    this.random = random;
    this.car = car;
    this.settings = settings;
    this.base = { ...car.point };
    this.calm = random.pick([30, 100, 300, 1000]);
  }

  /** Changes the car for the next tick and says how long that tick is, in microseconds; past the watchdog's time there is no next tick. */
  next(): number {
    const { random, car } = this;
    if (this.badTicks > 0 && --this.badTicks === 0) this.setBack();
    if (random.oneIn(this.calm)) {
      random.pick(EVENTS)(this);
      this.badTicks = random.pick([
        1,
        2,
        3,
        4,
        5,
        6,
        random.between(1, LONGEST_TICKS),
        random.between(1, 5 * LONGEST_TICKS),
      ]);
    }
    car.point.rpm += random.between(-1, 1);
    return this.tickUs();
  }

  private setBack(): void {
    const { car, random } = this;
    car.point = { ...this.base };
    car.stuckCodes.clear();
    car.wiring.stuckDrainsMv.clear();
    car.wiring.relay = "sound";
    car.wiring.dropMv = 0;
    car.wiring.kickless = 0;
    car.raw.adcMissing = 0;
    car.adcFrozen = car.engineWireCut = false;
    car.set("arm", true);
    car.set("throttle", true);
    car.set("enrich", true);
    if (random.oneIn(2)) car.set("launch", random.oneIn(2));
  }

  /** How long the next tick is, microseconds: now and then much too short or too long. */
  tickUs(): number {
    const { random } = this;
    if (!random.oneIn(300)) return random.oneIn(3) ? random.between(900, 1100) : 1000;
    return random.pick([1, WATCHDOG_US, 4_999, random.between(1, WATCHDOG_US)]);
  }

  /** Does the car wait for the arm switch: off after a trip, or disarmed while the switch is on? */
  get stopped(): boolean {
    return this.car.trip !== NONE || (this.car.mode === 0 && this.badTicks === 0);
  }

  /** Ticks, in microseconds, of a driver who switches off for a while and on again, now and then too short; `change` comes in between. */
  *rearm(change = (): void => {}): Generator<number> {
    const { random, car } = this;
    this.setBack();
    if (random.oneIn(50)) yield* this.longSleep();
    car.set("arm", false);
    for (let us = random.oneIn(8) ? 150_000 : 202_000; us > 0; us -= 20_000) yield 20_000;
    yield 1000;
    change();
    car.set("arm", true);
    const press = random.oneIn(30) ? () => {} : car.lift();
    for (let i = random.oneIn(20) ? 40 : random.between(90, 110); i > 0; i--) yield 1000;
    press();
  }

  /** A stop of about one round of the core's clock, with the engine off, so that old times look new again. */
  private *longSleep(): Generator<number> {
    const { car, random } = this;
    car.engineWireCut = true;
    for (let i = 0; i < 60; i++) yield WATCHDOG_US;
    for (let i = 0; i < 8; i++) yield WRAP / 8;
    yield random.between(1, 5000);
    car.engineWireCut = false;
  }
}
