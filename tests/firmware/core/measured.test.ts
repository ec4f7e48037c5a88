// What the controller says of the car is what the car does, within what converter and pulses can tell, at any place in range.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { SENSOR_UV_PER_CODE, SUPPLY_MV_PER_CODE } from "#shared-schema/model/blocks.ts";
import { ADC_A } from "#shared-schema/model/pins.ts";
import { lineOf, mvAt, type SensorName } from "../../oracle/settings.ts";
import { fullSettings, smallSettings, standingCar, TURN_TICKS, ticks } from "../../oracle/stand.ts";
import { runs } from "../../support/effort.ts";
import { reason } from "./interlock-moves.ts";

const settings = fullSettings();
const SENSOR_MV = SENSOR_UV_PER_CODE / 1000;
const COLUMNS: Readonly<Record<SensorName, string>> = {
  throttle: "throttlePermille",
  manifold: "manifoldDeciKpa",
  bottle: "bottleKpaGauge",
  fuel: "fuelDeciKpaGauge",
  lambda: "milliLambda",
};

const share = fc.double({ min: 0, max: 1, noNaN: true });

describe("a car at any place", () => {
  for (const name of Object.keys(COLUMNS) as SensorName[]) {
    const line = lineOf(settings, name)!;
    const unitsPerCode = ((line.high - line.low) / (line.highMv - line.lowMv)) * SENSOR_MV;
    test.prop([share], runs(60))(`${name} is read within a code and a half`, (at) => {
      const value = line.low + at * (line.high - line.low);
      const car = standingCar(settings, { [`${name}Mv`]: mvAt(line, value) });
      ticks(car, 3 * TURN_TICKS);
      expect(Math.abs(car.rig.live.get(COLUMNS[name]) - value)).toBeLessThanOrEqual(1.5 * unitsPerCode + 1);
    });
  }

  test.prop([fc.integer({ min: 0, max: 16_000 }), fc.integer({ min: 500, max: 4500 })], runs(60))(
    "battery and coolant are read within a code",
    (batteryMv, coolantMv) => {
      const car = standingCar(settings, { batteryMv, coolantMv });
      ticks(car, 3 * TURN_TICKS);
      expect(Math.abs(car.rig.live.get("batteryMv") - batteryMv)).toBeLessThanOrEqual(SUPPLY_MV_PER_CODE);
      expect(Math.abs(car.rig.live.get("coolantMv") - coolantMv)).toBeLessThanOrEqual(1.5 * SENSOR_MV + 1);
      expect(car.rig.live.get("supplyMv")).toBe(0);
    },
  );

  test.prop([fc.integer({ min: 400, max: 12_000 }), fc.integer({ min: 60, max: 3000 })], runs(100))(
    "speeds are those of the car, within what a microsecond more or less in a period makes",
    (rpm, deciKmh) => {
      const car = standingCar(settings, { rpm, deciKmh });
      ticks(car, 300);
      const within = (value: number, periodUs: number): number => 1 + (1.5 * value) / periodUs;
      const { live } = car.rig;
      expect(Math.abs(live.get("engineRpm") - rpm)).toBeLessThanOrEqual(within(rpm, car.raw.engine.periodUs));
      expect(Math.abs(live.get("roadDeciKmh") - deciKmh)).toBeLessThanOrEqual(
        within(deciKmh, car.raw.road.periodUs),
      );
    },
  );

  test("a sensor that is not fitted reads nothing, whatever is on its wire", () => {
    const car = standingCar(smallSettings());
    ticks(car, 3 * TURN_TICKS);
    for (const column of [...Object.values(COLUMNS), "coolantMv", "gear"])
      expect(car.rig.live.get(column), column).toBe(0);
  });

  test("the gear is the one whose ratio the speeds fit, and the time is that of the tick", () => {
    const rpm = 5000;
    settings.gearbox!.gears.forEach(({ ratioDeciRpmPerKmh }, gear) => {
      const car = standingCar(settings, { rpm, deciKmh: (100 * rpm) / ratioDeciRpmPerKmh });
      ticks(car, 300);
      expect(car.rig.live.get("gear")).toBe(gear + 1);
      expect(car.rig.live.get("timeUs")).toBe(car.raw.nowUs);
    });
    const between = standingCar(settings, { rpm, deciKmh: (100 * rpm) / 540 });
    ticks(between, 300);
    expect(between.rig.live.get("gear")).toBe(0);
  });
});

describe.each(["throttle", "manifold", "bottle", "fuel", "lambda", "coolant"] as const)(
  "the %s sensor",
  (name) => {
    const { plausibleLowMv, plausibleHighMv } =
      name === "throttle" ? settings.throttle.position! : settings[name]!;
    const mvOf = (code: number): number => code * SENSOR_MV;

    test("counts as failed above its plausible voltages and below them, within a code", () => {
      const car = standingCar(settings);
      const failsAt = (code: number): boolean => {
        car.stuckCodes.set(ADC_A.indexOf(name), code);
        ticks(car, 2 * TURN_TICKS);
        return reason(car, "SENSOR");
      };
      const last = Math.floor(plausibleHighMv / SENSOR_MV);
      expect(mvOf(last)).toBeLessThanOrEqual(plausibleHighMv);
      expect([last, last + 1].map(failsAt)).toEqual([false, true]);
      const first = Math.ceil(plausibleLowMv / SENSOR_MV);
      expect(mvOf(first)).toBeGreaterThanOrEqual(plausibleLowMv);
      expect([first, first - 2].map(failsAt)).toEqual([false, true]);
    });
  },
);

test.each([
  [999, true],
  [1000, false],
] as const)("after %i ms without a pulse the next one by itself tells a speed: %s", (gapMs, tells) => {
  const car = standingCar(smallSettings());
  ticks(car, 300);
  car.engineWireCut = true;
  const pulse = (): void => {
    car.spuriousPulse(car.raw.nowUs);
    car.tick();
  };
  pulse();
  ticks(car, gapMs - 1);
  pulse();
  ticks(car, TURN_TICKS);
  expect(car.rig.live.get("engineRpm") > 0).toBe(tells);
});
