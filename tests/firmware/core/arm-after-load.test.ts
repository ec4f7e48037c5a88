// Settings that are stored while the arm switch is on, and while it has long been off.
import { expect, test } from "vitest";
import { Car } from "../../oracle/car.ts";
import {
  GOOD_POINT,
  modeOf,
  OFF_TICKS,
  smallSettings,
  standingCar,
  store,
  ticks,
} from "../../oracle/stand.ts";
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

test("settings that are stored while the arm switch has long been off ask for nothing more: it arms as soon as it is on", () => {
  const car = standingCar(smallSettings());
  car.set("enrich", true);
  ticks(car, OFF_TICKS);
  const changed = smallSettings((s) => {
    s.flow.frequencyHz = 25;
  });
  store(car.rig, changed);
  car.set("arm", true);
  ticks(car, 300);
  expect(modeOf(car)).toBe("armed");
});
