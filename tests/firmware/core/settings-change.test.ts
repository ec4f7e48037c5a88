// Settings that are loaded over others leave nothing of them: sensors, gears, windows that were left, stages and their portions.
import { describe, expect, test } from "vitest";
import { interlockNumber } from "#shared-schema/model/interlocks.ts";
import { Car } from "../../oracle/car.ts";
import type { Settings } from "../../oracle/settings.ts";
import {
  arm,
  flowingCar,
  fullSettings,
  GOOD_POINT,
  modeOf,
  OFF_TICKS,
  SETTLING_TICKS,
  smallSettings,
  standingCar,
  store,
  ticks,
} from "../../oracle/stand.ts";
import { put, withPart } from "./interlock-moves.ts";

/** Nothing that small settings have no sensor for gives a voltage. */
const WITHOUT_SENSORS = {
  ...GOOD_POINT,
  ...{ throttleMv: 0, manifoldMv: 0, bottleMv: 0, fuelMv: 0, lambdaMv: 0, coolantMv: 0, deciKmh: 0 },
};

/** The car with other settings in force and its arm switch off for long enough. */
function reloaded(before: Car, settings: Settings, point = GOOD_POINT): Car {
  before.set("arm", false);
  ticks(before, OFF_TICKS);
  expect(modeOf(before)).toBe("off");
  store(before.rig, settings);
  return new Car(before.rig, settings, { ...point }, before.raw.nowUs);
}

/** What flows a while after arming, with the retard request, degrees. */
function flowOf(car: Car): unknown {
  arm(car);
  ticks(car, SETTLING_TICKS + 600);
  const { live } = car.rig;
  const shares = [0, 1, 2, 3].map((n) => live.get("sharePermille", n));
  return { mode: modeOf(car), runs: car.runs, trip: car.trip, retard: live.get("retardDeciDeg"), shares };
}

test("fewer parts: what is no longer fitted is neither watched nor waited for", () => {
  const full = standingCar(fullSettings(), { rpm: 2500, deciKmh: 20 });
  ticks(arm(full), 300);
  const small = smallSettings();
  const expected = flowOf(standingCar(small, WITHOUT_SENSORS));
  expect(expected).toMatchObject({ mode: "flowing", runs: 1 });
  expect(flowOf(reloaded(full, small, WITHOUT_SENSORS))).toEqual(expected);
});

test("more stages: all of them count, and their portions add up to the same retard request", () => {
  const four = smallSettings((s) => {
    const [stage] = s.stages;
    s.stages = [100, 200, 300, 400].map((portionPermille) => ({
      ...structuredClone(stage!),
      portionPermille,
    }));
    s.retard = {
      fullSignalDeciDeg: 200,
      leadMs: 50,
      table: [
        { flowPermille: 0, angleDeciDeg: 0 },
        { flowPermille: 1000, angleDeciDeg: 100 },
      ],
    };
  });
  const expected = flowOf(standingCar(four));
  expect(expected).toEqual({
    mode: "flowing",
    runs: 0b1111,
    trip: 255,
    retard: 60,
    shares: [600, 600, 600, 600],
  });
  expect(flowOf(reloaded(flowingCar(smallSettings()), four))).toEqual(expected);
  expect(flowOf(reloaded(standingCar(four), smallSettings()))).toEqual(flowOf(standingCar(smallSettings())));
});

test("windows of a stage: those that are loaded count, not those before", () => {
  const before = smallSettings();
  const after = smallSettings((s) => {
    s.stages[0]!.engineSpeed = { openRpm: 4500, closeRpm: 5500, hysteresisRpm: 100 };
  });
  const car = arm(reloaded(flowingCar(before), after));
  ticks(car, SETTLING_TICKS + 100);
  expect(modeOf(car)).toBe("flowing");
  car.point.rpm = 6000;
  ticks(car, 100);
  expect(car.runs).toBe(0);
});

test("windows of a stage that nothing was inside of are not counted as entered when settings are changed", () => {
  const settings = smallSettings((s) => {
    s.road = { pulsesPerKm: 60_000, sender: "driveshaft" };
    s.stages[0]!.roadSpeed = { openDeciKmh: 600, closeDeciKmh: 1000, hysteresisDeciKmh: 20 };
  });
  const inHysteresis = { ...GOOD_POINT, deciKmh: 590 };
  const changed = structuredClone(settings);
  changed.flow.stepBackMs += 10;
  const car = arm(reloaded(standingCar(settings, inHysteresis), changed, inHysteresis));
  ticks(car, SETTLING_TICKS + 300);
  expect(car.runs).toBe(0);
  car.point.deciKmh = 650;
  ticks(car, 100);
  expect(car.runs).toBe(1);
});

describe("gears", () => {
  const withGears = (...ratios: number[]): Settings =>
    smallSettings((s) => {
      s.road = { pulsesPerKm: 60_000, sender: "driveshaft" };
      s.gearbox = {
        tolerancePermille: 60,
        gears: ratios.map((ratioDeciRpmPerKmh) => ({ ratioDeciRpmPerKmh })),
      };
    });
  const six = withGears(1000, 800, 600, 500, 400, 300);
  const gearOf = (car: Car): number => {
    ticks(car, 300);
    return car.rig.live.get("gear");
  };
  const at = (ratio: number): typeof GOOD_POINT => ({
    ...GOOD_POINT,
    deciKmh: (100 * GOOD_POINT.rpm) / ratio,
  });

  test("that are fewer are told apart as if there had never been others", () => {
    for (const [n, ratio] of [1000, 250].entries())
      expect(gearOf(reloaded(standingCar(six, at(ratio)), withGears(1000, 250), at(ratio)))).toBe(n + 1);
    for (const ratio of [600, 300])
      expect(gearOf(reloaded(standingCar(six, at(ratio)), withGears(1000, 250), at(ratio)))).toBe(0);
  });

  test("that are not there any more are not shown", () => {
    const car = standingCar(six, at(500));
    expect(gearOf(car)).toBe(4);
    expect(gearOf(reloaded(car, smallSettings()))).toBe(0);
  });
});

test("solenoids that are not there any more may have nothing connected", () => {
  const before = standingCar(fullSettings(), { rpm: 2500, deciKmh: 20 });
  const car = reloaded(before, smallSettings(), WITHOUT_SENSORS);
  for (const pin of [2, 3, 4, 5, 6, 7]) car.wiring.stuckDrainsMv.set(pin, 0);
  ticks(arm(car), 300);
  expect(modeOf(car)).toBe("flowing");
});

test("a stage that was wet does not trip by fuel pressure any more", () => {
  const dry = withPart("fuel", (s) => {
    const [stage] = s.stages;
    delete stage!.fuelSolenoid;
    Object.assign(stage!, { kind: "dry", enrichment: { withinMs: 100 } });
  });
  const car = arm(reloaded(standingCar(withPart("fuel")), dry));
  ticks(car, SETTLING_TICKS + 100);
  expect(modeOf(car)).toBe("flowing");
  put(car, dry, "fuel", dry.fuel!.lowestDeciKpaGauge - 20);
  ticks(car, 100);
  expect(modeOf(car)).toBe("armed");
  expect(car.reasons).toBe(1 << interlockNumber("FUEL-LOW"));
});
