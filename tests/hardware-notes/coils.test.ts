// Coils and their clamps: release times by the published formula and by a step-by-step solution, heat, and the shorted driver.
import { test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { value } from "./values.ts";

const L = value("coil.inductance");
const R = value("coil.resistance");
const I0 = value("coil.current");
const RELEASE = value("coil.release-current");
const STEP_S = 1e-6;

/** t = (L/R) ln((I0 R + Vc)/(I R + Vc)): from L di/dt = -(i R + Vc). */
function releaseTime(henry: number, ohm: number, from: number, to: number, clamp: number): number {
  return (henry / ohm) * Math.log((from * ohm + clamp) / (to * ohm + clamp));
}

/** The same by small steps; also the heat that the clamp takes until the current ends. */
function decay(clamp: number): { release: number; heat: number } {
  let current = I0;
  let heat = 0;
  let release = 0;
  for (let now = STEP_S; current > 0; now += STEP_S) {
    heat += clamp * current * STEP_S;
    current -= ((current * R + clamp) / L) * STEP_S;
    if (current > RELEASE) release = now;
  }
  return { release, heat };
}

describe("a solenoid's clamp", () => {
  test("example current is supply over resistance", () => {
    expect(I0).toBeCloseTo(value("coil.supply") / R, 6);
  });

  test.each([
    // Parts reference, inductive_load.computed_example: 14.909, 3.041 and 2.188 ms.
    ["clamp.release-diode", value("clamp.diode"), 14.909e-3],
    ["clamp.release-24", value("clamp.voltage"), 3.041e-3],
    ["clamp.release-36", 36, 2.188e-3],
  ])("%s agrees with the formula, the small steps and the published example", (key, clamp, published) => {
    expect(releaseTime(L, R, I0, RELEASE, clamp)).toBeCloseTo(published, 6);
    expect(value(key)).toBeCloseTo(published, 6);
    expect(decay(clamp).release).toBeCloseTo(published, 5);
  });

  test("turns this much into heat, which its part must stand at 20 pulses a second", () => {
    expect(decay(value("clamp.voltage")).heat).toBeCloseTo(value("clamp.energy"), 3);
    expect(20 * value("clamp.energy")).toBeCloseTo(value("clamp.power"), 1);
    // Parts reference: energy in the coil, 0.1785 J; the rest stays in the coil's resistance.
    expect(value("clamp.energy")).toBeLessThan(0.5 * L * I0 * I0);
  });

  /** Highest drain voltage at a supply: the breakdown, warmed from 25 C to 85 C, and its rise at the full current. */
  const peak = (breakdown: number, supply: number): number =>
    supply + breakdown * (1 + 60 * value("clamp.warm")) + I0 * value("clamp.slope") + value("clamp.diode");

  test("keeps the drain under the checklist's limit and under half of what the transistor stands", () => {
    const highest = peak(value("clamp.breakdown-highest"), 16);
    expect(highest - 16 - value("clamp.diode")).toBeCloseTo(value("clamp.highest"), 1);
    expect(Math.round(highest)).toBe(value("clamp.drain-peak"));
    expect(highest).toBeLessThan(value("clamp.drain-limit"));
    expect(2 * highest).toBeLessThan(value("driver.fet-voltage"));
    expect(value("clamp.breakdown-highest")).toBeCloseTo(1.05 * value("clamp.voltage"), 6);
  });

  test("would not, with a suppressor of 24 V stand-off", () => {
    expect(peak(value("clamp.stand-off-highest"), 16)).toBeGreaterThan(value("clamp.drain-limit"));
  });

  test("stays under the transistor's rating when it opens at a jump start, or in a load dump", () => {
    for (const supply of [value("supply.jump"), value("dump.node")])
      expect(peak(value("clamp.breakdown-highest"), supply)).toBeLessThan(0.8 * value("driver.fet-voltage"));
  });

  test("shows at the drain, when it is good and when its suppressor is shorted", () => {
    const good =
      value("coil.supply") + value("clamp.voltage") + I0 * value("clamp.slope") + value("clamp.diode");
    expect(Math.round(good)).toBe(value("clamp.drain-good"));
    expect(value("coil.supply") + value("clamp.diode")).toBeCloseTo(value("clamp.drain-shorted"), 6);
    // A full code is 20.48 V: the one reads full, the other does not.
    expect(value("clamp.drain-good")).toBeGreaterThan(value("adc.full-supply"));
    expect(value("clamp.drain-shorted")).toBeLessThan(value("adc.full-supply"));
  });
});

test("a driver's heat, and levels from pin to buffer", () => {
  expect(I0 ** 2 * value("driver.fet-resistance")).toBeCloseTo(value("driver.fet-power"), 2);
  expect(value("driver.pin-high")).toBeGreaterThan(value("driver.hct-high") + 0.5);
});

describe("the relay", () => {
  const coil = (clamp: number): number =>
    releaseTime(
      value("relay.inductance"),
      value("relay.resistance"),
      value("relay.current"),
      value("relay.drop-out"),
      clamp,
    );

  test("currents follow from its resistance", () => {
    expect(14.4 / value("relay.resistance")).toBeCloseTo(value("relay.current"), 3);
    expect(1.2 / value("relay.resistance")).toBeCloseTo(value("relay.drop-out"), 4);
  });

  test("is too slow with a plain diode, and in time with the clamp", () => {
    expect(coil(value("clamp.diode"))).toBeCloseTo(value("relay.decay-diode"), 4);
    expect(coil(2 * value("relay.clamp"))).toBeCloseTo(value("relay.decay"), 4);
    expect(coil(value("relay.clamp"))).toBeCloseTo(value("relay.decay-one"), 4);
    expect(value("relay.decay-diode") + value("relay.mechanics")).toBeGreaterThan(value("relay.release"));
    for (const key of ["relay.decay", "relay.decay-one"])
      expect(value(key) + value("relay.mechanics")).toBeLessThan(value("relay.release"));
  });

  test("takes Q2 to no more than it withstands, not even when it opens in a load dump", () => {
    const peak = (each: number): number =>
      value("dump.node") + 2 * 1.05 * each * (1 + 60 * value("clamp.warm")) + value("clamp.diode");
    expect(Math.round(peak(value("relay.clamp")))).toBe(value("relay.peak"));
    expect(value("relay.peak")).toBeLessThan(value("driver.fet-voltage"));
    // Two of the solenoids' suppressors would be too much.
    expect(peak(value("clamp.voltage"))).toBeGreaterThan(value("driver.fet-voltage"));
  });

  test("is in time even at a jump start; with a single suppressor as the solenoids have it was not", () => {
    const jump = value("supply.jump") / value("relay.resistance");
    const single = releaseTime(
      value("relay.inductance"),
      value("relay.resistance"),
      jump,
      value("relay.drop-out"),
      value("clamp.voltage"),
    );
    expect(single + value("relay.mechanics")).toBeGreaterThan(value("relay.release"));
    const decay = releaseTime(
      value("relay.inductance"),
      value("relay.resistance"),
      jump,
      value("relay.drop-out"),
      2 * value("relay.clamp"),
    );
    expect(decay).toBeCloseTo(value("relay.decay-jump"), 4);
    expect(decay + value("relay.mechanics")).toBeLessThan(value("relay.release"));
  });
});

/**
 * The relay opens while one driver is shorted. At first its coil's clamp conducts, and the negative supply node drives
 * current up through the other coils and the body diodes of their drivers; once they carry all of it, the loop decays
 * through them with no clamp in it. Returns when the coil has let go.
 */
function shortedRelease(others: number): number {
  const diode = value("clamp.diode");
  const clamp = value("clamp.voltage") + diode;
  let own = I0;
  let each = 0;
  let now = 0;
  for (; own > RELEASE && own > others * each; now += STEP_S) {
    own -= ((own * R + clamp) / L) * STEP_S;
    each += ((clamp - diode - each * R) / L) * STEP_S;
  }
  const loop = 1 + 1 / others;
  for (; own > RELEASE; now += STEP_S) own -= ((own * R * loop + diode) / (L * loop)) * STEP_S;
  return now;
}

describe("a shorted driver, when the relay opens", () => {
  test.each([0, 1, 3, 7])("%i other coils: no slower than with a plain diode", (others) => {
    expect(shortedRelease(others)).toBeLessThanOrEqual(value("clamp.release-diode") * 1.02);
  });

  test("at arming has current until the test has seen it and the relay has opened", () => {
    const looks = value("arming.settle") + 0.002;
    const sum = looks + value("hang.pump-and-relay") + value("clamp.release-diode");
    expect(value("arming.shorted")).toBeCloseTo(sum, 3);
  });

  test("others make it slow: the fast clamp cannot be counted on then", () => {
    expect(shortedRelease(7)).toBeGreaterThan(3 * shortedRelease(0));
    const sum = value("hang.pump-and-relay") + value("clamp.release-diode");
    expect(value("hang.shorted-driver")).toBeCloseTo(sum, 3);
  });
});
