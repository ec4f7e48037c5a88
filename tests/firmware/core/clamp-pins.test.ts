// The look at clamps at each of the eight pins, and at pulses so short that it says nothing.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { INTERLOCKS } from "#shared-schema/model/interlocks.ts";
import type { Car } from "../../oracle/car.ts";
import { arm, modeOf, smallSettings, standingCar, ticks, ticksToFlow } from "../../oracle/stand.ts";

const PINS = [0, 1, 2, 3, 4, 5, 6, 7];
/** Four like stages; what one of them does not let through the others do. */
const FOUR = smallSettings((s) => {
  s.clamps = { kickMv: 18_500 };
  const [stage] = s.stages;
  s.stages = [1, 2, 3, 4].map(() => ({ ...structuredClone(stage!), portionPermille: 250 }));
});

function flowing(): Car {
  const car = arm(standingCar(FOUR));
  expect(ticksToFlow(car, 200)).toBeGreaterThan(0);
  ticks(car, 100);
  return car;
}

function expectClamp(car: Car, pin: number): void {
  expect(modeOf(car)).toBe("locked");
  expect(INTERLOCKS[car.trip]?.id).toBe("CLAMP");
  expect(car.rig.live.get("tripValue")).toBe(pin + 1);
}

/** The longest time that a pin was seen high, in ticks; until it locks. */
function longestPulse(car: Car, pin: number, most: number): number {
  let [longest, high] = [0, 0];
  for (let i = 0; i < most && modeOf(car) === "flowing"; i++) {
    car.tick();
    high = (car.wiring.pins >> pin) & 1 ? high + 1 : 0;
    longest = Math.max(longest, high);
  }
  return longest;
}

describe("a coil that does not kick", () => {
  test.each(PINS)("at pin %i locks out, and is named", (pin) => {
    const car = flowing();
    ticks(car, 500);
    expect(modeOf(car)).toBe("flowing");
    car.wiring.kickless = 1 << pin;
    ticks(car, 500);
    expectClamp(car, pin);
  });
});

/** Longer pulses are looked at, ms; those of up to one tick more are not, in some phases. */
const LOOKED_MS = 6;
/** Valves so quick that some pulses are shorter than that. */
const pulse = fc.record({
  openingUs: fc.integer({ min: 1000, max: 9000 }),
  permille: fc.integer({ min: 40, max: 300 }),
  frequencyHz: fc.integer({ min: 20, max: 40 }),
});

test.prop([pulse], { numRuns: 16 })(
  "a coil that does not kick is accused by pulses of more than 6 ms only: in shorter ones its current may be too small",
  ({ openingUs, permille, frequencyHz }) => {
    const valve = {
      opening10VUs: openingUs,
      opening12VUs: openingUs,
      opening14VUs: openingUs,
      closingUs: 1000,
    };
    const settings = smallSettings((s) => {
      s.clamps = { kickMv: 18_500 };
      s.flow.frequencyHz = frequencyHz;
      s.stages[0]!.nitrousSolenoid = { ...valve };
      s.stages[0]!.fuelSolenoid = { ...valve };
      s.stages[0]!.ramps[0]!.points = [
        [0, permille],
        [1, permille],
      ];
    });
    const car = arm(standingCar(settings));
    expect(ticksToFlow(car, 300)).toBeGreaterThan(0);
    car.wiring.kickless = 0xff;
    const longest = Math.max(longestPulse(car, 0, 600), longestPulse(car, 1, 600));
    if (longest <= LOOKED_MS) expect(modeOf(car)).toBe("flowing");
    if (longest > LOOKED_MS + 1) expect(modeOf(car)).toBe("locked");
  },
);
