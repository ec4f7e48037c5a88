// A supply that sags whenever the coils draw: opening times must be those at which the valves open, not those of the pause before.
import { expect, test } from "vitest";
import type { Solenoid } from "../../oracle/settings.ts";
import { flowingCar, smallSettings, ticks } from "../../oracle/stand.ts";
import { Valve } from "../../oracle/valve.ts";

/** The fuel valve needs the voltage more than the nitrous valve does; both open alike at 12 V. */
const NITROUS: Solenoid = { opening10VUs: 10_000, opening12VUs: 9500, opening14VUs: 9000, closingUs: 6000 };
const FUEL: Solenoid = { opening10VUs: 14_500, opening12VUs: 9500, opening14VUs: 7000, closingUs: 6000 };
const IDLE_MV = 12_000;
const DRAWS_MV = 11_000;
const TICKS = 2000;
const MOST = 1.02;

/** Opening time at DRAWS_MV, half way between those at 10 and 12 V. */
const openingUs = (s: Solenoid): number => (s.opening10VUs + s.opening12VUs) / 2;

test.each([80, 200, 400])("nitrous has its fuel at %i permille", (share) => {
  const settings = smallSettings((s) => {
    const [stage] = s.stages;
    stage!.nitrousSolenoid = NITROUS;
    stage!.fuelSolenoid = FUEL;
    stage!.ramps[0]!.points = [
      [0, share],
      [1, share],
    ];
    s.flow.frequencyHz = 8;
    s.windows.engineSpeed = { openRpm: 3500, closeRpm: 6500, hysteresisRpm: 100 };
  });
  const car = flowingCar(settings, { batteryMv: IDLE_MV });
  const valves = [NITROUS, FUEL].map(
    (s) => new Valve({ openingUs: openingUs(s), closingUs: s.closingUs }, car.raw.nowUs),
  );
  valves.forEach((valve, pin) => {
    valve.drive(car.level(pin), car.raw.nowUs);
  });
  for (let tick = 0; tick < TICKS; tick++) {
    car.wiring.dropMv = car.level(0) || car.level(1) ? IDLE_MV - DRAWS_MV : 0;
    ticks(car, 1);
    for (const { pin, level, us } of car.edges) valves[pin]?.drive(level, us);
    for (const valve of valves) valve.pass(car.raw.nowUs);
  }
  expect(valves[0]!.flowedUs).toBeGreaterThan(0);
  expect(valves[0]!.flowedUs).toBeLessThanOrEqual(MOST * valves[1]!.flowedUs);
});
