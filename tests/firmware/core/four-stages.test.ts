// Four stages whose periods begin in the same tick, with unlike valves, shares that wander and ticks that come late: none has nitrous without its fuel.
import { fc, test } from "@fast-check/vitest";
import { expect } from "vitest";
import { Mixture } from "../../oracle/mixture.ts";
import type { Settings, Stage } from "../../oracle/settings.ts";
import { flowingCar, smallSettings, ticks } from "../../oracle/stand.ts";
import { valve } from "../../support/any-valves.ts";
import { runs } from "../../support/effort.ts";
import { Random } from "../../support/random.ts";

const STAGES = 4;
const TICKS = 900;
const NOISE_TICKS = 3;
const [LOW_RPM, BEGIN_RPM, HIGH_RPM] = [3010, 3150, 3290];
/** Of a period, what opening and closing of a valve may take together. */
const ROOM = 0.7;
/** One tick in so many comes late, by as much as the watchdog lets it; the others in time. */
const LATE_IN = 37;
const LATEST_US = 20_000;

/** Any share each 25 rpm, some of them nothing and some all; where it begins, one that can be made. */
function ramp(random: Random): [number, number][] {
  const share = (): number => (random.oneIn(5) ? random.pick([0, 1000]) : random.between(0, 1000));
  return Array.from({ length: 12 }, (_, i): [number, number] => {
    const rpm = LOW_RPM + 25 * i;
    return [rpm, Math.abs(rpm - BEGIN_RPM) < 25 ? random.between(400, 900) : share()];
  });
}

function anyStage(random: Random, first: Stage, frequencyHz: number): Stage {
  const most = Math.min(9000, Math.floor((ROOM * 1e6) / frequencyHz / 2));
  const time = (): number => random.between(500, most);
  const any = () => valve([time(), time(), time()], time());
  return {
    ...first,
    ...{ nitrousSolenoid: any(), fuelSolenoid: any(), portionPermille: 1000 / STAGES, longestMs: 30_000 },
    ramps: [{ over: "engine-speed", points: ramp(random) }],
  };
}

const settingsFor = (random: Random, frequencyHz: number): Settings =>
  smallSettings((s) => {
    const [first] = s.stages;
    s.stages = Array.from({ length: STAGES }, () => anyStage(random, first!, frequencyHz));
    s.flow.frequencyHz = frequencyHz;
    s.flow.longestRunMs = 30_000;
    s.windows.engineSpeed = { openRpm: 3000, closeRpm: 3300, hysteresisRpm: 50 };
    s.engine.lowSpeedAcknowledged = "yes";
  });

test.prop([fc.nat(), fc.integer({ min: 8, max: 40 }), fc.nat({ max: LATEST_US })], runs(300))(
  "set their next periods in time",
  (seed, frequencyHz, lateUs) => {
    const random = new Random(seed);
    const settings = settingsFor(random, frequencyHz);
    const car = flowingCar(settings, { batteryMv: 12_000, rpm: BEGIN_RPM });
    // After noise at the arm switch all of them begin in one tick.
    car.set("arm", false);
    ticks(car, NOISE_TICKS);
    car.set("arm", true);
    ticks(car, 1);
    const mixture = new Mixture(settings, car.raw.nowUs);
    for (let tick = 0, to = BEGIN_RPM; tick < TICKS; tick++) {
      if (random.oneIn(50)) to = random.between(LOW_RPM, HIGH_RPM);
      car.point.rpm += Math.max(-3, Math.min(3, to - car.point.rpm));
      car.tick(tick % LATE_IN === 0 ? Math.max(1000, lateUs) : 1000);
      const wrong = mixture.update(car.raw.nowUs, car.edges, car.wiring.supplyMv, car.runs);
      expect(wrong, `at tick ${tick}`).toEqual([]);
    }
    expect(mixture.compared).toBeGreaterThan(0);
  },
);

/** Ticks that all come so late are no fault that the watchdog ends. */
test.prop([fc.nat(), fc.integer({ min: 6_000, max: 15_000 })], runs(300))(
  "set them in time where every tick is late",
  (seed, lateUs) => {
    const random = new Random(seed);
    const settings = settingsFor(random, 40);
    const car = flowingCar(settings, { batteryMv: 12_000, rpm: BEGIN_RPM });
    const mixture = new Mixture(settings, car.raw.nowUs);
    for (let tick = 0, to = BEGIN_RPM; tick < TICKS; tick++) {
      if (random.oneIn(50)) to = random.between(LOW_RPM, HIGH_RPM);
      car.point.rpm += Math.max(-3, Math.min(3, to - car.point.rpm));
      car.tick(lateUs);
      const wrong = mixture.update(car.raw.nowUs, car.edges, car.wiring.supplyMv, car.runs);
      expect(wrong, `at tick ${tick}`).toEqual([]);
    }
  },
);
