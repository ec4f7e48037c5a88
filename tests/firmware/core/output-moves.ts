// What the tests of outputs share: is one on, and for how many ticks.
import { OUTPUT_BITS } from "#shared-schema/model/blocks.ts";
import type { Car } from "../../oracle/car.ts";
import { TURN_TICKS } from "../../oracle/stand.ts";

/** Outputs are worked out once in four ticks. */
export const TURNS = TURN_TICKS;
/** The longest tick whose time the core trusts. */
export const LONG_US = 20_000;

/** Is an output on? */
export const isOn = (car: Car, name: keyof typeof OUTPUT_BITS): boolean =>
  ((car.outputFlags >>> OUTPUT_BITS[name]) & 1) === 1;

/** Ticks for which an output is on in the next so many. */
export function ticksOn(car: Car, name: keyof typeof OUTPUT_BITS, count: number, us = 1000): number {
  let on = 0;
  for (let i = 0; i < count; i++) {
    car.tick(us);
    if (isOn(car, name)) on++;
  }
  return on;
}
