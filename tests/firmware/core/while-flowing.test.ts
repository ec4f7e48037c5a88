// Faults that trip only by what flows: which flow makes one of them, and when a stall after the flow is none any more.
import { describe, expect, test } from "vitest";
import { INTERLOCKS } from "#shared-schema/model/interlocks.ts";
import type { Stage } from "../../oracle/settings.ts";
import { flowingCar, isFed, modeOf, smallSettings, ticks } from "../../oracle/stand.ts";
import { catalogueTicks, NONE, put, reason, withPart } from "./interlock-moves.ts";

describe("fuel pressure that goes while a wet stage flows", () => {
  test.each([0, 1, 2, 3])("trips, whichever of four it is: only number %i is wet", (wet) => {
    const settings = withPart("fuel", (s) => {
      const [stage] = s.stages;
      const { fuelSolenoid, ...both } = { ...stage!, portionPermille: 250 };
      const its = [0, 1, 2, 3].map((n) =>
        n === wet ? { fuelSolenoid } : { kind: "dry", enrichment: { withinMs: 100 } },
      );
      s.stages = its.map((own) => structuredClone({ ...both, ...own }) as Stage);
    });
    const car = flowingCar(settings);
    ticks(car, 100);
    expect(car.runs).toBe(0b1111);
    put(car, settings, "fuel", settings.fuel!.lowestDeciKpaGauge - 20);
    ticks(car, catalogueTicks("FUEL-LOW"));
    expect(isFed(car)).toBe(false);
    expect(INTERLOCKS[car.trip]?.id).toBe("FUEL-LOW");
  });
});

describe("an engine that stalls while armed", () => {
  test("after the throttle was lifted and its pulses went on holds off and does not trip", () => {
    const car = flowingCar(smallSettings());
    ticks(car, 100);
    const press = car.lift();
    ticks(car, 100);
    car.engineWireCut = true;
    ticks(car, 500);
    expect(car.trip).toBe(NONE);
    expect(modeOf(car)).toBe("armed");
    expect(reason(car, "RPM-LOST")).toBe(true);
    car.engineWireCut = false;
    press();
    ticks(car, 300);
    expect(isFed(car)).toBe(true);
  });
});
