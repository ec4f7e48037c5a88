/** Bottle weighing: gives back the coefficient that made the loss, and says when the weighing is too coarse. */
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { calibrateJet, type DischargeMeasurement } from "#host/plan/nitrous/calibrate.ts";
import { holeAreaM2 } from "#host/plan/nitrous/chain.ts";
import { blendedFlux, saturatedInlet } from "#host/plan/nitrous/flow.ts";
import { saturationTemperatureK } from "#host/plan/nitrous/saturation.ts";

const base: DischargeMeasurement = {
  startPa: 6.3e6,
  endPa: 6.1e6,
  massBeforeKg: 12,
  massAfterKg: 11.5,
  openS: 10,
  jetDiameterM: 0.001,
  backPa: 101_325,
  scaleStepKg: 0.005,
  clockStepS: 0.1,
  jetToleranceM: 5e-6,
};

describe("weighing", () => {
  test.prop([fc.double({ min: 0.4, max: 0.95, noNaN: true })])(
    "gives the coefficient back",
    (coefficient) => {
      const flux = (pa: number) => blendedFlux(saturatedInlet(saturationTemperatureK(pa)), base.backPa);
      const lost =
        coefficient *
        holeAreaM2(base.jetDiameterM) *
        base.openS *
        ((flux(base.startPa) + flux(base.endPa)) / 2);
      const found = calibrateJet({ ...base, massAfterKg: base.massBeforeKg - lost });
      expect(found.dischargeCoefficient).toBeCloseTo(coefficient, 6);
      expect(found.remarks).toEqual([]);
    },
  );

  test("a coarse scale, a large drop and an impossible coefficient are remarked", () => {
    const { remarks, relativeUncertainty } = calibrateJet({
      ...base,
      scaleStepKg: 0.1,
      endPa: 4e6,
      massAfterKg: 11,
    });
    expect(relativeUncertainty).toBeGreaterThan(0.1);
    expect(remarks).toHaveLength(3);
  });

  test.each([{ massAfterKg: 12 }, { massAfterKg: 13 }, { openS: 0 }, { jetDiameterM: 0 }])(
    "%j is refused",
    (change) => {
      expect(() => calibrateJet({ ...base, ...change })).toThrow(RangeError);
    },
  );
});
