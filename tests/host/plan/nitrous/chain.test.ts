/** Restrictions in series: never more than any alone, and the known answer where nothing boils. */
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import {
  bottleInlet,
  chainFlow,
  holeAreaM2,
  holeDiameterM,
  lastAreaM2,
  type Restriction,
  restrictionFlow,
} from "#host/plan/nitrous/chain.ts";
import { compressedInlet, saturatedInlet } from "#host/plan/nitrous/flow.ts";
import { runs } from "../../../support/effort.ts";

const hole = (name: string, mm: number): Restriction => ({
  name,
  areaM2: holeAreaM2(mm / 1000),
  dischargeCoefficient: 0.75,
});
const bore = fc.double({ min: 0.5, max: 6, noNaN: true });
const kelvin = fc.double({ min: 270, max: 305, noNaN: true });

describe("series", () => {
  test.prop([kelvin, bore, bore, bore], runs(25))(
    "passes no more than any part alone, and all drops add up",
    (t, a, b, c) => {
      const inlet = saturatedInlet(t);
      const parts = [hole("valve", a), hole("solenoid", b), hole("jet", c)];
      const { massFlowKgS, steps } = chainFlow(parts, inlet, 101_325);
      const alone = Math.min(...parts.map((part) => restrictionFlow(part, inlet, 101_325)));
      expect(massFlowKgS).toBeLessThanOrEqual(alone * 1.0001);
      expect(massFlowKgS).toBeGreaterThan(0.2 * alone);
      expect(steps.reduce((sum, s) => sum + s.dropPa, 0)).toBeCloseTo(inlet.state.pressurePa - 101_325, 3);
    },
  );

  test("a much smaller jet rules alone", () => {
    const inlet = saturatedInlet(295);
    const { massFlowKgS } = chainFlow([hole("valve", 8), hole("jet", 0.8)], inlet, 101_325);
    expect(massFlowKgS / restrictionFlow(hole("jet", 0.8), inlet, 101_325)).toBeCloseTo(1, 2);
  });

  test("two equal holes without boiling pass 1/sqrt(2) of one (incompressible flow)", () => {
    const inlet = compressedInlet(9e6, 275);
    const one = restrictionFlow(hole("a", 1), inlet, 6e6);
    expect(chainFlow([hole("a", 1), hole("b", 1)], inlet, 6e6).massFlowKgS / one).toBeCloseTo(
      Math.SQRT1_2,
      2,
    );
  });

  test.prop([kelvin, fc.double({ min: 0.5, max: 1.6, noNaN: true })], runs(15))(
    "the jet found for a flow passes that flow",
    (t, mm) => {
      const before = [hole("valve", 5), hole("solenoid", 2.5)];
      const inlet = saturatedInlet(t);
      const wanted = chainFlow([...before, hole("jet", mm)], inlet, 101_325).massFlowKgS;
      const area = lastAreaM2(before, inlet, 101_325, wanted, 0.75)!;
      expect(holeDiameterM(area) * 1000).toBeCloseTo(mm, 1);
    },
  );

  test("a flow that the parts before cannot pass has no jet", () => {
    expect(lastAreaM2([hole("solenoid", 0.5)], saturatedInlet(295), 101_325, 0.1, 0.75)).toBeUndefined();
  });

  test("a chain of nothing is refused", () => {
    expect(() => chainFlow([], bottleInlet(6e6), 1e5)).toThrow(RangeError);
  });
});
