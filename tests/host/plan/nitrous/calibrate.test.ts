/** Bottle weighing: gives back the coefficient that made the loss, and says when the weighing is too coarse. */
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { calibrateJet, type DischargeMeasurement } from "#host/plan/nitrous/calibrate.ts";
import { chainFlow, holeAreaM2 } from "#host/plan/nitrous/chain.ts";
import { blendedFlux, saturatedInlet } from "#host/plan/nitrous/flow.ts";
import { saturationTemperatureK } from "#host/plan/nitrous/saturation.ts";
import { sizeSystem, upstream } from "#host/plan/nitrous/sizing.ts";
import { runs } from "../../../support/effort.ts";
import { inputOf } from "../cars.ts";

const input = inputOf();

const base: DischargeMeasurement = {
  startPa: 6.3e6,
  endPa: 6.1e6,
  massBeforeKg: 12,
  massAfterKg: 11.5,
  openS: 10,
  jetDiameterM: 0.001,
  nozzles: 1,
  upstream: [],
  bottle: input.nitrous.bottle,
  backPa: 101_325,
  scaleStepKg: 0.005,
  clockStepS: 0.1,
  jetToleranceM: 5e-6,
};

describe("weighing", () => {
  // At the very edge of 0.4 rounding decides whether there is a remark.
  test.prop([fc.double({ min: 0.401, max: 0.95, noNaN: true })], runs(20))(
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

  // A coefficient that swallows what the line loses is taken for the jet's alone by the plan, which then takes the line off once more.
  test.prop([fc.double({ min: 0.5, max: 0.9, noNaN: true }), fc.constantFrom(1, 8)], runs(4))(
    "through the car's own line and solenoid it is the jet's alone, with one nozzle or eight",
    (coefficient, nozzles) => {
      const { bores, stages } = sizeSystem(input, 75e3, [1], nozzles, true);
      const before = upstream(input, bores);
      const jetDiameterM = stages[0]!.nitrousJetM;
      const jets = {
        name: "jets",
        areaM2: nozzles * holeAreaM2(jetDiameterM),
        dischargeCoefficient: coefficient,
      };
      const flow = (pa: number) =>
        chainFlow([...before, jets], saturatedInlet(saturationTemperatureK(pa)), base.backPa).massFlowKgS;
      const lost = (base.openS * (flow(base.startPa) + flow(base.endPa))) / 2;
      const weighed = { ...base, jetDiameterM, nozzles, upstream: before };
      const found = calibrateJet({ ...weighed, massAfterKg: base.massBeforeKg - lost });
      expect(found.dischargeCoefficient).toBeCloseTo(coefficient, 3);
    },
  );

  test("parts before the jet that cannot have passed the flow are refused, and pressed liquid is remarked", () => {
    const narrow = [{ name: "solenoids", areaM2: 0.2 * holeAreaM2(0.001), dischargeCoefficient: 0.75 }];
    expect(() => calibrateJet({ ...base, upstream: narrow })).toThrow("cannot pass");
    const { remarks } = calibrateJet({ ...base, startPa: 6.9e6, endPa: 6.6e6 });
    expect(remarks.join()).toContain("pressed liquid");
  });

  test("a pressure that rises while nitrous leaves is remarked", () => {
    const swapped = calibrateJet({ ...base, startPa: base.endPa, endPa: base.startPa });
    expect(swapped.remarks.join()).toContain("rose");
  });

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
