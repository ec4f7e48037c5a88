// The stages' own windows on engine speed against a plain model, in every tick: what is outside is low in that very tick.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import type { Car } from "../../oracle/car.ts";
import type { Settings } from "../../oracle/settings.ts";
import { arm, SETTLING_TICKS, smallSettings, standingCar, TURN_TICKS } from "../../oracle/stand.ts";
import { runs } from "../../support/effort.ts";
import { Random } from "../../support/random.ts";

const STAGES = [0, 1, 2, 3];
/** Some time inside, and it flows again: 20 ms with nothing in the way, the turns, one more to pass the smallest duty. */
const BACK_TICKS = 12 * TURN_TICKS;

function settingsOf(random: Random): Settings {
  return smallSettings((s) => {
    s.engine.lowSpeedAcknowledged = "yes";
    s.engine.pulsesHalfPulses = 16;
    Object.assign(s.windows.engineSpeed!, { openRpm: 2200, closeRpm: 9000, hysteresisRpm: 100 });
    s.engine.revLimiterRpm = Math.max(s.engine.revLimiterRpm, 9300);
    const [first] = s.stages;
    s.stages = STAGES.map(() => {
      const openRpm = random.between(24, 55) * 100;
      const closeRpm = openRpm + random.between(3, 30) * 100;
      const stage = structuredClone(first!);
      if (random.oneIn(4)) return stage;
      return { ...stage, engineSpeed: { openRpm, closeRpm, hysteresisRpm: random.between(2, 10) * 10 } };
    });
  });
}

/** Speed as the pulses tell it: by the last period, or by the silence since when that is longer. */
function speedOf(car: Car, halfPulses: number): number {
  const { edgeUs, periodUs } = car.raw.engine;
  return Math.floor(Math.floor(120e6 / halfPulses) / Math.max(periodUs, car.raw.nowUs - edgeUs));
}

describe("stages with windows of their own on engine speed", () => {
  test.prop([fc.integer({ min: 1, max: 2 ** 31 - 1 })], runs(25))(
    "flow inside them and not outside, wherever the engine goes",
    (seed) => {
      const random = new Random(seed);
      const settings = settingsOf(random);
      const car = standingCar(settings, { rpm: 4000 });
      const out = STAGES.map(() => true);
      const inFor = STAGES.map(() => 0);
      const counts = { low: 0, high: 0 };
      const look = (): void => {
        const rpm = speedOf(car, settings.engine.pulsesHalfPulses);
        for (const s of STAGES) {
          const window = settings.stages[s]!.engineSpeed;
          const { openRpm, closeRpm, hysteresisRpm } = window ?? {
            openRpm: 0,
            closeRpm: 1e9,
            hysteresisRpm: 0,
          };
          const low = openRpm - (out[s] ? 0 : hysteresisRpm);
          const high = closeRpm - (out[s] ? hysteresisRpm : 0);
          out[s] = rpm < low || rpm > high;
          inFor[s] = out[s] ? 0 : inFor[s]! + 1;
          const fed = car.fed(s);
          if (out[s] && fed) expect(`stage ${s + 1} at ${rpm}`).toBe("low");
          if (inFor[s]! > BACK_TICKS && !fed) expect(`stage ${s + 1} at ${rpm}`).toBe("fed");
          counts[fed ? "high" : "low"]++;
        }
      };
      arm(car);
      for (let i = 0; i < SETTLING_TICKS + BACK_TICKS; i++) car.tick();
      out.forEach((_, s) => {
        out[s] = !car.fed(s);
      });
      for (let i = 0; i < 1500; i++) {
        if (random.oneIn(60)) car.point.rpm = random.between(2400, 8500);
        car.tick();
        look();
      }
      expect(counts.low + counts.high).toBe(6000);
    },
  );
});
