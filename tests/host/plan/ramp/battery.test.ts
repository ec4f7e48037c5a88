/** The battery as an edge of its own: slow valves stay open from a lower share on, and ramps must hold there too. */
import { describe, expect, test } from "vitest";
import { cornersOf } from "#host/plan/ramp/holds.ts";
import { dividedOf } from "#host/plan/ramp/stage-window.ts";
import { PLANNED_EDGES } from "#host/plan/run/driven-run.ts";
import { type RampRun, rampRun } from "#host/plan/run/planned-run.ts";
import { steadySupply } from "#host/plan/run/supply.ts";
import { inputOf } from "../cars.ts";

const ADDED_W = 40e3;
const ASKED = 0.75;
// Over two periods at 20 Hz an opening of 28 ms leaves 1 - 28 / 100 = 72 %, one of 8 ms 92 %.
const input = inputOf({
  nitrous:
    "{solenoid-opening-10V: 28 ms, solenoid-opening: 12 ms, solenoid-opening-14V: 8 ms, frequency: 20 Hz}",
});
const { nitrous, stages } = dividedOf(input, ADDED_W);
const run: RampRun = {
  nitrous,
  axis: "road-speed",
  stages: stages.map((stage) => ({
    ...stage,
    ramp: [
      [0, ASKED],
      [100, ASKED],
    ],
  })),
  supply: steadySupply(input, ADDED_W, [1]),
};
const most = (lowBattery: boolean) =>
  Math.max(
    ...rampRun(input, run, { edges: { ...PLANNED_EDGES, lowBattery } }).samples.map(({ share }) => share),
  );

describe("a low battery", () => {
  test("makes 75 % into all of it where the valve has no time to shut, and keeps 75 % where it has", () => {
    expect(most(false)).toBeCloseTo(ASKED, 9);
    expect(most(true)).toBe(1);
  });

  test.each(["road-speed", "launch"] as const)(
    "is a corner that ramps over %s hold at, with the worst of the others",
    (axis) => {
      const corners = cornersOf(input, { axis, nitrous });
      expect(corners.filter(({ lowBattery }) => lowBattery)).toEqual([
        {
          gripShare: 1 - input.hold.gripLoss,
          lateS: axis === "launch" ? input.hold.lateS : 0,
          flowShare: nitrous.tyreFlow,
          lowBattery: true,
        },
      ]);
    },
  );
});
