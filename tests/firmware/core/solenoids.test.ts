// From share to pulse: the computed duty limits, the plain model for any valve, voltage and frequency, and fuel with every nitrous.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { PWM_STEP_US } from "#shared-schema/model/blocks.ts";
import type { Car } from "../../oracle/car.ts";
import { openingUs, periodSteps, stagePulses } from "../../oracle/pulse-model.ts";
import { batteryMv } from "../../oracle/raw.ts";
import type { Settings, Solenoid } from "../../oracle/settings.ts";
import {
  arm,
  flowingCar,
  GOOD_POINT,
  SETTLING_TICKS,
  smallSettings,
  standingCar,
  ticks,
} from "../../oracle/stand.ts";
import reference from "../../reference/trade-practice.json" with { type: "json" };
import { runs } from "../../support/effort.ts";

/** Of 20 Hz. */
const PERIOD_MS = 50;
const SETTLE = SETTLING_TICKS + 250;
/** With less of a period to spare a pattern may be kept. */
const ROOM_STEPS = 2;
/** A stage that is shut opens only with this part of a period more than its valves need to close. */
const ENTRY_PARTS = 100;

function valve(opening: number, closing = opening): Solenoid {
  return { opening10VUs: opening, opening12VUs: opening, opening14VUs: opening, closingUs: closing };
}

function atShare(share: number, change: (settings: Settings) => void): Settings {
  return smallSettings((settings) => {
    settings.battery.lowestMv = 8000;
    settings.stages[0]!.ramps = [
      {
        over: "time",
        points: [
          [0, share],
          [1, share],
        ],
      },
    ];
    change(settings);
  });
}

function steady(settings: Settings, batteryMv = 12_000): Car {
  const car = arm(standingCar(settings, { batteryMv }));
  ticks(car, SETTLE);
  return car;
}

describe("computed examples of a pulsed valve (tests/reference/trade-practice.json, computed)", () => {
  test.each(reference.computed.duty.examples)(
    "$f_Hz Hz, $t_open_ms ms to open, $t_close_ms ms to close",
    ({ f_Hz, t_open_ms, t_close_ms, duty_min_pct, duty_max_pct }) => {
      const solenoid = valve(1000 * t_open_ms, 1000 * t_close_ms);
      const settings = smallSettings((s) => {
        s.flow.frequencyHz = f_Hz;
        s.stages[0]!.nitrousSolenoid = solenoid;
        s.stages[0]!.fuelSolenoid = solenoid;
        s.stages[0]!.ramps = [
          {
            over: "time",
            points: [
              [0, 0],
              [6000, 1000],
              [12_000, 0],
            ],
          },
        ];
        s.stages[0]!.longestMs = 20_000;
        s.flow.longestRunMs = 20_000;
      });
      const car = arm(standingCar(settings));
      ticks(car, SETTLING_TICKS);
      const duties = new Set<number>();
      for (let i = 0; i < 12_100; i++) {
        car.tick();
        const period = car.top + 1;
        duties.add((100 * Math.min(car.pin(0), period)) / period);
      }
      const pulsed = [...duties].filter((duty) => duty > 0 && duty < 100);
      expect(Math.abs(Math.min(...pulsed) - duty_min_pct)).toBeLessThanOrEqual(0.1);
      const alone = f_Hz < 16 ? duty_max_pct : 100;
      expect(Math.max(...pulsed)).toBeGreaterThanOrEqual(duty_max_pct - 0.1);
      expect(Math.max(...pulsed)).toBeLessThanOrEqual(alone + 0.1);
      expect(duties.has(0) && duties.has(100)).toBe(true);
    },
  );
});

describe("the pulses of a stage", () => {
  const time = fc.integer({ min: 500, max: 12_000 });
  const openings = fc.tuple(time, time, time).map((list) => list.sort((a, b) => b - a));
  const solenoid = fc.tuple(openings, time).map(
    ([[at10, at12, at14], closingUs]): Solenoid => ({
      opening10VUs: at10!,
      opening12VUs: at12!,
      opening14VUs: at14!,
      closingUs,
    }),
  );

  /** Fuel times that lie so near those of the nitrous valve that the rules allow both. */
  const NEAR_US = 4000;
  const near = (fuel: Solenoid, nitrous: Solenoid): Solenoid => {
    const at = (name: keyof Solenoid): number =>
      Math.min(nitrous[name] + NEAR_US, Math.max(nitrous[name] - NEAR_US, fuel[name]));
    return {
      opening10VUs: at("opening10VUs"),
      opening12VUs: at("opening12VUs"),
      opening14VUs: at("opening14VUs"),
      closingUs: at("closingUs"),
    };
  };

  test.prop(
    [
      solenoid,
      solenoid,
      fc.integer({ min: 0, max: 1000 }),
      fc.integer({ min: 8, max: 33 }),
      fc.integer({ min: 8000, max: 16_000 }),
      fc.boolean(),
    ],
    runs(200),
  )(
    "are those of the plain model, and give the share that was asked for",
    (nitrous, anyFuel, share, hz, mv, dry) => {
      const fuel = near(anyFuel, nitrous);
      const settings = atShare(share, (s) => {
        const [stage] = s.stages;
        s.flow.frequencyHz = hz;
        stage!.nitrousSolenoid = nitrous;
        stage!.fuelSolenoid = fuel;
        if (!dry) return;
        stage!.kind = "dry";
        stage!.enrichment = { withinMs: 500 };
        delete stage!.fuelSolenoid;
      });
      const car = steady(settings, mv);
      const period = periodSteps(hz);
      const battery = batteryMv(car.raw);
      expect(car.top).toBe(period - 1);
      const around = [-1000 / period, 0, 1000 / period].map((d) =>
        stagePulses(share + d, period, settings.stages[0]!, battery),
      );
      const closing = Math.max(nitrous.closingUs, dry ? 0 : fuel.closingUs) / PWM_STEP_US;
      const opening = Math.max(
        ...[nitrous, ...(dry ? [] : [fuel])].map((valve) => openingUs(valve, battery)),
      );
      const flowing = (share * period) / 1000;
      const aPulseEach =
        flowing > closing + period / ENTRY_PARTS && flowing + opening / PWM_STEP_US + ROOM_STEPS < period;
      for (const i of aPulseEach ? ([0, 1] as const) : []) {
        const widths = around.map((pair) => pair[i]);
        expect(car.pin(i)).toBeGreaterThanOrEqual(Math.min(...widths) - 5);
        expect(car.pin(i)).toBeLessThanOrEqual(Math.max(...widths) + 5);
      }
      if (!dry && car.pin(0) > 0) expect(car.pin(1)).toBeGreaterThan(0);
    },
  );

  test.prop([fc.integer({ min: 8, max: 40 })])("have the frequency of the settings within one step", (hz) => {
    const car = steady(
      atShare(500, (s) => {
        s.flow.frequencyHz = hz;
        s.stages[0]!.nitrousSolenoid = valve(5000);
        s.stages[0]!.fuelSolenoid = valve(5000);
      }),
    );
    expect(1e6 / (2 * (car.top + 1))).toBeGreaterThanOrEqual(hz);
    expect(1e6 / (2 * (car.top + 2))).toBeLessThan(hz);
  });

  test("follow the supply from pulse to pulse", () => {
    const solenoid: Solenoid = {
      opening10VUs: 14_000,
      opening12VUs: 11_000,
      opening14VUs: 9000,
      closingUs: 8000,
    };
    const settings = atShare(500, (s) => {
      s.stages[0]!.nitrousSolenoid = solenoid;
      s.stages[0]!.longestMs = s.flow.longestRunMs = 30_000;
    });
    const car = flowingCar(settings);
    ticks(car, 50);
    for (let mv = 9000; mv <= 15_000; mv += 35) {
      car.point.batteryMv = mv;
      ticks(car, 2 * PERIOD_MS);
      const width = 12_500 + (openingUs(solenoid, batteryMv(car.raw)) - 8000) / 2;
      expect(Math.abs(car.pin(0) - width)).toBeLessThanOrEqual(2);
    }
  });

  test("stand in the order nitrous 1, fuel 1, nitrous 2 and so on, and stop together", () => {
    const settings = smallSettings((s) => {
      const [stage] = s.stages;
      s.stages = [5000, 6000, 7000, 8000].map((us) => ({
        ...structuredClone(stage!),
        nitrousSolenoid: valve(us, 5000),
        fuelSolenoid: valve(us + 500, 5000),
      }));
    });
    const car = flowingCar(settings, GOOD_POINT);
    ticks(car, 20);
    const widths = [0, 250, 500, 750, 1000, 1250, 1500, 1750].map((steps) => 15_000 + steps);
    car.pins().forEach((width, i) => {
      expect(Math.abs(width - widths[i]!)).toBeLessThanOrEqual(2);
    });
    car.set("throttle", false);
    car.tick();
    expect(car.pins()).toEqual([0, 0, 0, 0, 0, 0, 0, 0]);
  });
});
