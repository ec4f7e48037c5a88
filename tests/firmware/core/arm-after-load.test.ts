// A controller without settings whose arm switch is on, and settings that are stored then.
import { expect, test } from "vitest";
import { Car } from "../../oracle/car.ts";
import { GOOD_POINT, modeOf, OFF_TICKS, smallSettings, store, ticks } from "../../oracle/stand.ts";
import { freshCore } from "../../support/core.ts";

test("settings that are stored while the arm switch is on do not arm: the switch must be seen off after them", () => {
  const rig = freshCore();
  rig.start();
  const car = new Car(rig, smallSettings(), GOOD_POINT, 1_000_000);
  ticks(car, OFF_TICKS);
  car.set("arm", true);
  ticks(car, 1000);
  expect(modeOf(car)).toBe("off");
  store(rig, smallSettings());
  for (let i = 0; i < 2000; i++) {
    car.tick();
    expect(modeOf(car)).toBe("off");
  }
  car.set("arm", false);
  ticks(car, OFF_TICKS);
  car.set("arm", true);
  ticks(car, 300);
  expect(modeOf(car)).toBe("armed");
});
