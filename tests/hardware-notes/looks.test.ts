// The looks at the drivers: what a coil's current does in a gap, by the formula and by small steps, and what the tap shows by then.
import { describe, expect, test } from "vitest";
import { GAP_US, TRY_US } from "#shared-schema/model/blocks.ts";
import { value } from "./values.ts";

const STEP_S = 1e-8;
const SUPPLY = value("coil.supply");

/** Current that is left of the settled one after a time against a clamp, A: closed form. */
function leftOf(ohm: number, henry: number, clamp: number, seconds: number): number {
  return (SUPPLY / ohm + clamp / ohm) * Math.exp((-seconds * ohm) / henry) - clamp / ohm;
}

/** The same by small steps of L di/dt = -(R i + clamp). */
function stepped(ohm: number, henry: number, clamp: number, seconds: number): number {
  let current = SUPPLY / ohm;
  for (let t = 0; t < seconds; t += STEP_S) current -= ((current * ohm + clamp) / henry) * STEP_S;
  return current;
}

describe("a gap", () => {
  const length = value("gap.length");

  test("is as long as the firmware makes it, and a third of the shortest closing time", () => {
    expect(length).toBeCloseTo(GAP_US / 1e6, 9);
    expect(3 * length).toBeCloseTo(value("gap.slowest"), 9);
  });

  test.each([
    ["gap.current-1.5", 1.5, 0.008],
    ["gap.current-4", 4, 0.03],
    ["gap.current-6", 6, 0.03],
  ] as const)("leaves a current that holds the valve: %s", (key, ohm, henry) => {
    const left = leftOf(ohm, henry, value("gap.clamp"), length);
    expect(left).toBeCloseTo(value(key), 3);
    expect(stepped(ohm, henry, value("gap.clamp"), length)).toBeCloseTo(left, 3);
    expect(left).toBeGreaterThan(2 * value("coil.release-current"));
  });

  test("with a coil of the same resistance and little inductance the valve would let go: the bound can fail", () => {
    expect(leftOf(6, 0.015, value("gap.clamp"), length)).toBeLessThan(value("coil.release-current"));
  });

  test("lifts the first drain's tap over the limit of an open coil before it is sampled", () => {
    const [top, bottom] = [value("tap.top"), value("tap.bottom")];
    const tau = ((top * bottom) / (top + bottom)) * value("tap.filter");
    const tap = SUPPLY * (1 - Math.exp(-value("gap.first-look") / tau));
    expect(Math.abs(tap - value("gap.tap"))).toBeLessThan(0.05);
    expect(tap).toBeGreaterThan(1.5 * value("drain.open-highest"));
  });
});

describe("a driver that is tried at arming", () => {
  const length = value("try.length");

  test("conducts for as long as the firmware says, a third of the shortest opening time", () => {
    expect(length).toBeCloseTo(TRY_US / 1e6, 9);
    expect(3 * length).toBeCloseTo(value("try.slowest"), 9);
  });

  test.each([
    ["try.current-1.5", 1.5, 0.008],
    ["try.current-4", 4, 0.03],
    ["try.current-6", 6, 0.03],
  ] as const)("brings its coil to a tenth of its current at most: %s", (key, ohm, henry) => {
    let current = 0;
    for (let t = 0; t < length; t += STEP_S) current += ((SUPPLY - current * ohm) / henry) * STEP_S;
    expect(value(key)).toBeCloseTo(current, 3);
    expect(value(key)).toBeLessThan((0.1 * SUPPLY) / ohm);
  });

  test("shows in the first drain's tap in time", () => {
    const [top, bottom] = [value("tap.top"), value("tap.bottom")];
    const tau = ((top * bottom) / (top + bottom)) * value("tap.filter");
    const tap = SUPPLY * Math.exp(-value("gap.first-look") / tau);
    expect(Math.abs(tap - value("try.tap"))).toBeLessThan(0.05);
    expect(tap).toBeLessThan(SUPPLY / 2);
  });
});
