// Both valves of a wet stage while its share wanders within what they can make, from kind to kind of pattern: whenever both are shut, neither is ahead.
import { fc, test } from "@fast-check/vitest";
import { expect } from "vitest";
import { openingUs } from "../../oracle/pulse-model.ts";
import type { Solenoid } from "../../oracle/settings.ts";
import { flowingCar, smallSettings } from "../../oracle/stand.ts";
import { Valve } from "../../oracle/valve.ts";
import { runs } from "../../support/effort.ts";
import { Random } from "../../support/random.ts";

const TICKS = 1500;
/** A pulse that is shortened under way is so by whole counter steps, and a pattern by all of its periods' rounding. */
const ROUNDING_US = 60;
const [LOW_RPM, HIGH_RPM] = [3010, 3290];
/** An intake stroke where the window closes, us; what the rules allow between two times. */
const APART_US = 9000;
/** Of a period, what both valves may take together. */
const ROOM = 0.7;
/** Over the least share that is made, so that nothing is cut short. */
const MARGIN = 1.15;

/** Two valves that the rules allow. */
function valves(random: Random, frequencyHz: number): [Solenoid, Solenoid] {
  const half = Math.min(20_000, Math.floor((ROOM * 1e6) / frequencyHz / 2));
  const from = random.between(500, Math.max(500, half - APART_US));
  const time = (): number => random.between(from, Math.min(half, from + APART_US));
  const valve = (): Solenoid => {
    const [at10, at12, at14] = [time(), time(), time()].sort((a, b) => b - a);
    return { opening10VUs: at10!, opening12VUs: at12!, opening14VUs: at14!, closingUs: time() };
  };
  return [valve(), valve()];
}

/** Shares over engine speed that change within every few rpm, none of them too small to be made. */
function wanderingRamp(random: Random, leastPermille: number): [number, number][] {
  return Array.from({ length: 12 }, (_, i): [number, number] => {
    const share = random.oneIn(4) ? 1000 : random.between(Math.min(999, leastPermille), 1000);
    return [LOW_RPM + 25 * i, share];
  });
}

test.prop([fc.nat(), fc.integer({ min: 8, max: 40 }), fc.integer({ min: 10_600, max: 15_000 })], runs(100))(
  "nor is nitrous ahead of its fuel",
  (seed, frequencyHz, batteryMv) => {
    const random = new Random(seed);
    const [nitrous, fuel] = valves(random, frequencyHz);
    const least = (Math.max(nitrous.closingUs, fuel.closingUs) * frequencyHz) / 1000;
    const settings = smallSettings((s) => {
      const [stage] = s.stages;
      stage!.nitrousSolenoid = nitrous;
      stage!.fuelSolenoid = fuel;
      stage!.ramps = [
        { over: "engine-speed", points: wanderingRamp(random, Math.ceil(MARGIN * least) + 30) },
      ];
      s.flow.frequencyHz = frequencyHz;
      s.flow.longestRunMs = stage!.longestMs = 30_000;
      s.windows.engineSpeed = { openRpm: 3000, closeRpm: 3300, hysteresisRpm: 50 };
      s.engine.lowSpeedAcknowledged = "yes";
    });
    const car = flowingCar(settings, { batteryMv, rpm: 3150 });
    const pair = [nitrous, fuel].map((s) => {
      const times = { openingUs: openingUs(s, car.wiring.supplyMv), closingUs: s.closingUs };
      return new Valve(times, car.raw.nowUs - 1e6);
    });
    pair.forEach((valve, pin) => {
      valve.drive(car.level(pin), car.raw.nowUs);
    });
    const ahead = (): number => pair[0]!.flowedUs - pair[1]!.flowedUs;
    let [to, before] = [3150, 0];
    for (let tick = 0; tick < TICKS; tick++) {
      if (random.oneIn(40)) to = random.between(LOW_RPM, HIGH_RPM);
      car.point.rpm += Math.max(-3, Math.min(3, to - car.point.rpm));
      car.tick();
      for (const { pin, level, us } of car.edges) pair[pin]?.drive(level, us);
      for (const valve of pair) valve.pass(car.raw.nowUs);
      if (!pair.every((valve) => valve.atRest)) continue;
      expect(ahead() - before, `at tick ${tick}`).toBeLessThanOrEqual(ROUNDING_US);
      before = ahead();
    }
  },
);
