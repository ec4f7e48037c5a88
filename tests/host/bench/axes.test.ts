// Every axis of the table: the share of a ramp over it is that of its own axis value, in the rehearsal's model and in the proof's.
import { expect, test } from "vitest";
import { share } from "#host/bench/prove/point.ts";
import { type Axis, type Moment, rampShare } from "#host/bench/ramp-model.ts";
import { AXES } from "#shared-schema/settings/choices.ts";

/** Ends of a ramp from 100 to 900 permille, and a moment in its middle, no two axes alike. */
const MOMENT: Moment = { timeS: 1, launchS: 2, rpm: 3000, kmh: 400, kpa: 500 };
const VALUES: Readonly<Record<Axis, number>> = {
  time: 1000,
  launch: 2000,
  "engine-speed": 3000,
  "road-speed": 4000,
  manifold: 5000,
};
const POINT = { rpm: 3000, deciKmh: 4000, deciKpa: 5000 };

test.each(AXES)("%s", (over) => {
  const middle = VALUES[over];
  const ramp = {
    over,
    points: [
      [middle - 100, 100],
      [middle + 100, 900],
    ] as const,
  };
  expect(rampShare(ramp, MOMENT)).toBeCloseTo(0.5, 9);
  const overTime = over === "time" || over === "launch";
  expect(share(ramp, POINT)).toBe(overTime ? 900 : 500);
});

test("an axis that nobody knows is no other axis", () => {
  const ramp = {
    over: "altitude" as Axis,
    points: [
      [0, 100],
      [100, 900],
    ] as const,
  };
  expect(() => rampShare(ramp, MOMENT)).toThrow("altitude");
  expect(() => share(ramp, POINT)).toThrow("altitude");
});
