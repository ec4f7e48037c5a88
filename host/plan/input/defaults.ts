/** Default values for what a car file leaves out; each one used is recorded with its reason. */
import { formatQuantity } from "#host/units/format.ts";
import type { Dimension, UnitOf } from "#host/units/table.ts";
import type { Assumption } from "./plan-input.ts";

/** Keys whose assumed value decides whether an engine survives; a report says them first. */
export const DECIDES_SAFETY: readonly string[] = [
  "engine.cylinders",
  "controls.engine-pulses",
  "controls.throttle-switch",
  "controls.bottle-sensor",
  "controls.bottle-sensor-reach",
  "fuel.kind",
  "fuel.pressure",
  "nitrous.bottle-pressure",
  "nitrous.jet-coefficient",
  "nitrous.solenoid-opening",
  "nitrous.solenoid-closing",
  "tyres.friction",
  "controls.road-sender",
  "controls.manifold-sensor-reach",
];

/** Collects assumptions while a file is filled in. */
export class Defaults {
  readonly used: Assumption[] = [];

  /** The value given, or a default in base units, recorded in `unit`. */
  quantity<D extends Dimension>(
    key: string,
    given: number | undefined,
    value: number,
    unit: UnitOf<D>,
    digits: number,
    why: string,
    dimension?: D,
  ): number {
    if (given !== undefined) return given;
    this.used.push({ key, value: formatQuantity<D>(value, unit, digits, dimension), why });
    return value;
  }

  /** The value given, or a default that needs no unit. */
  plain<T extends string | number>(key: string, given: T | undefined, value: T, why: string): T {
    if (given !== undefined) return given;
    const text = typeof value === "number" ? String(Math.round(value * 1000) / 1000) : String(value);
    this.used.push({ key, value: text, why });
    return value;
  }

  /** Records a default that is not a single value. */
  note(key: string, value: string, why: string): void {
    this.used.push({ key, value, why });
  }
}
