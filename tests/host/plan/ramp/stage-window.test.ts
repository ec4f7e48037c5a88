/** Stages open where the parts bear them with all before them, and the plan's own run keeps them shut outside. */
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { torqueAt } from "#host/car/torque-curve.ts";
import { dividedOf, openPart, partFromBelow } from "#host/plan/ramp/stage-window.ts";
import { type ControllerData, ControllerModel } from "#host/plan/run/controller-model.ts";
import { inputOf } from "../cars.ts";

const LIMIT_NM = 470;
const input = inputOf({ limits: `{gearbox: ${LIMIT_NM} Nm}` });
const { high } = input.nitrous.edges;
const torqueNm = (rpm: number, addedW: number) =>
  torqueAt(input.car.torque, rpm) + (addedW * high * 60) / (2 * Math.PI * rpm);
const power = fc.double({ min: 20e3, max: 80e3, noNaN: true });
const split = fc.constantFrom([1], [0.5, 0.5], [0.7, 0.3], [0.2, 0.3, 0.5]);

describe("windows of stages", () => {
  test.prop([power, split], { numRuns: 40 })(
    "each is the lowest at which the limit holds, by hand",
    (addedW, parts) => {
      const { stages, withinLimits } = dividedOf(input, addedW, parts);
      if (!withinLimits) return;
      let together = 0;
      for (const { part, openRpm } of stages) {
        together += part * addedW;
        for (let rpm = openRpm - 100; rpm <= input.closeRpm; rpm += 50)
          expect(torqueNm(rpm, together)).toBeLessThanOrEqual(LIMIT_NM);
        if (openRpm > 3100) expect(torqueNm(openRpm - 150, together)).toBeGreaterThan(LIMIT_NM);
      }
    },
  );

  test("stages that are open at a speed flow together", () => {
    const stages = [
      { part: 0.7, openRpm: 3100 },
      { part: 0.3, openRpm: 4000 },
    ];
    expect([3000, 3100, 3999, 4000].map((rpm) => openPart(stages, rpm))).toEqual([0, 0.7, 0.7, 1]);
  });

  test.prop([power], { numRuns: 40 })(
    "what opens from the lowest speed on does so, and 3 % more of it still",
    (addedW) => {
      const part = partFromBelow(input, addedW);
      if (part === undefined) return;
      expect(dividedOf(input, addedW * 1.03, [part, 1 - part]).stages[0]!.openRpm).toBe(3100);
      expect(part * addedW).toBeGreaterThan(7000);
      expect((1 - part) * addedW).toBeGreaterThan(7000);
    },
  );
});

const control: ControllerData = {
  window: { addedW: 50e3, openRpm: 3100, closeRpm: 6500 },
  stages: [
    { part: 0.7, openRpm: 3100 },
    { part: 0.3, openRpm: 4000 },
  ],
  hysteresisRpm: 100,
  valves: { least: 0, greatest: 1 },
  openingS: 0.01,
  ask: (_, shares) => void shares.fill(1),
};

/** Shares of both stages after half a second at each engine speed in turn. */
function shares(speeds: readonly number[]): number[][] {
  const model = new ControllerModel(control, 0.0025);
  return speeds.map((rpm) => {
    for (let i = 0; i < 200; i++) model.step({ rpm, roadMS: 0, launchS: 0, pedal: 1, manifoldPa: 1e5 });
    return [...model.delivered];
  });
}

describe("the planned run", () => {
  test("keeps a stage shut below its own window, with its hysteresis, while the other flows", () => {
    expect(shares([3500, 4000, 3950, 3890, 3950, 4010, 3050, 2990])).toEqual([
      [1, 0],
      [1, 1],
      [1, 1],
      [1, 0],
      [1, 0],
      [1, 1],
      [1, 0],
      [0, 0],
    ]);
  });

  test("a stage that comes later waits for the lead of the retard request", () => {
    const model = new ControllerModel(control, 0.0025);
    const step = (rpm: number) => model.step({ rpm, roadMS: 0, launchS: 0, pedal: 1, manifoldPa: 1e5 });
    for (let i = 0; i < 200; i++) step(3500);
    let steps = 0;
    for (; model.delivered[1] === 0 && steps < 200; steps++) step(4200);
    expect(steps * 2.5).toBeGreaterThanOrEqual(100);
    expect(model.delivered[0]).toBe(1);
  });
});
