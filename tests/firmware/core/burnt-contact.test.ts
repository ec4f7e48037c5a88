// A contact that loses voltage only under the coils' current must be noticed, however little of the time they draw.
import { expect, test } from "vitest";
import { flowingCar, modeOf, smallSettings } from "../../oracle/stand.ts";

const TICKS = 5000;

test.each([100, 200, 300])(
  "a burnt contact that leaves 6 V while coils draw is noticed at %i permille",
  (share) => {
    const settings = smallSettings((s) => {
      s.flow.longestRunMs = s.stages[0]!.longestMs = 30_000;
      s.stages[0]!.ramps[0]!.points = [
        [0, share],
        [1, share],
      ];
    });
    const car = flowingCar(settings, { batteryMv: 13_800 });
    for (let tick = 0; tick < TICKS; tick++) {
      car.wiring.dropMv = car.level(0) || car.level(1) ? 7_800 : 0;
      car.tick();
    }
    expect(modeOf(car)).toBe("tripped");
  },
);
