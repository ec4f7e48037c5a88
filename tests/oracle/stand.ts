// A car at a stand: settings stored, started, switches where flow begins, and the few moves that every test makes.
import type { CoreRig } from "#host/bench/core/rig.ts";
import { MODES } from "#shared-schema/model/interlocks.ts";
import { checkDocument } from "#shared-schema/settings/document.ts";
import { type Document, pack } from "#shared-schema/settings/pack.ts";
import { freshCore } from "../support/core.ts";
import { fullDocument, smallDocument } from "../support/documents.ts";
import { Car, type Point } from "./car.ts";
import { Device } from "./device.ts";
import { looksLikeTry } from "./driver-try.ts";
import type { Settings } from "./settings.ts";

/** Ticks after which the arm switch has been seen off for 200 ms. */
export const OFF_TICKS = 201;
/** Ticks within which the switch, once on, has armed: 5 ms steady and the self-test. */
const ARMING_MOST_TICKS = 500;
/** Ticks in which every stage has its turn: shares move on, and slow conditions are judged, once in so many. */
export const TURN_TICKS = 4;
/** Least ticks from the armed mode to flow: 50 ms for the relay, then 20 ms with nothing in the way. */
export const SETTLING_TICKS = 70;
/** Most ticks from the armed mode to the first pulse with `smallSettings`: its turn, and one more to pass the smallest duty. */
export const FED_TICKS = SETTLING_TICKS + 2 * TURN_TICKS;

/** A place in the windows of the table's examples. */
export const GOOD_POINT: Readonly<Point> = Object.freeze({
  rpm: 5000,
  deciKmh: 800,
  throttleMv: 4200,
  manifoldMv: 1571,
  bottleMv: 3200,
  fuelMv: 1900,
  lambdaMv: 1500,
  coolantMv: 1500,
  batteryMv: 12_000,
});

function changed(document: unknown, change: (settings: Settings) => void): Settings {
  const settings = document as Settings;
  change(settings);
  const findings = checkDocument(settings);
  if (findings.length > 0) throw new Error(`not right: ${JSON.stringify(findings[0])}`);
  return settings;
}

/** One wet stage, the throttle switch, full share at once; changed. Throws when the result is not right. */
export function smallSettings(change: (settings: Settings) => void = () => {}): Settings {
  return changed(smallDocument(), (settings) => {
    settings.flow.riseLimitPercentPerS = 10_000;
    settings.stages[0]!.ramps[0]!.points = [
      [0, 600],
      [1, 600],
    ];
    change(settings);
  });
}

/** Four stages and every optional part; changed. Throws when the result is not right. */
export function fullSettings(change: (settings: Settings) => void = () => {}): Settings {
  return changed(fullDocument(), change);
}

/** Stores settings in a core. */
export function store(rig: CoreRig, settings: Settings): void {
  new Device(rig).store(pack(settings as unknown as Document));
}

/** A car whose core has the settings and is started; all switches open. */
export function standingCar(settings: Settings, point: Partial<Point> = {}, nowUs = 1_000_000): Car {
  const rig = freshCore();
  rig.start();
  store(rig, settings);
  return new Car(rig, settings, { ...GOOD_POINT, ...point }, nowUs);
}

export function ticks(car: Car, count: number, us = 1000): void {
  for (let i = 0; i < count; i++) car.tick(us);
}

export function modeOf(car: Car): string {
  return MODES[car.mode] ?? `mode ${car.mode}`;
}

/**
 * Arm switch off long enough, then on until armed, with the throttle closed meanwhile and open then; the enrichment switch
 * closed. Throws when it does not arm.
 */
export function arm(car: Car): Car {
  const press = car.lift();
  car.set("enrich", true);
  car.set("arm", false);
  ticks(car, OFF_TICKS);
  car.set("arm", true);
  for (let i = 0; i < ARMING_MOST_TICKS; i++) {
    car.tick();
    if (modeOf(car) !== "armed") continue;
    press();
    return car;
  }
  press();
  throw new Error(`the car does not arm: ${modeOf(car)}, reasons ${car.reasons.toString(2)}`);
}

/** Ticks until a stage is fed, at most `most`. Undefined when none was. */
export function ticksToFlow(car: Car, most: number): number | undefined {
  for (let i = 1; i <= most; i++) {
    car.tick();
    if (isFed(car)) return i;
  }
  return undefined;
}

/** Does any stage flow? The test of a driver while it arms is no flow. */
export function isFed(car: Car): boolean {
  return car.runs !== 0 && !(modeOf(car) === "arming" && looksLikeTry(car.pins()));
}

/** A car that flows. Throws when it does not. */
export function flowingCar(settings: Settings, point: Partial<Point> = {}, nowUs?: number): Car {
  const car = arm(standingCar(settings, point, nowUs));
  if (ticksToFlow(car, FED_TICKS) === undefined) throw new Error("the car does not flow");
  return car;
}
