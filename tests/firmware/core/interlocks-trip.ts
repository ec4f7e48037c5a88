// Cases of the interlocks that trip: all off, latched until the arm switch is cycled.
import { expect } from "vitest";
import { interlockNumber } from "#shared-schema/model/interlocks.ts";
import { ADC_A } from "#shared-schema/model/pins.ts";
import type { Car } from "../../oracle/car.ts";
import type { Settings } from "../../oracle/settings.ts";
import {
  arm,
  flowingCar,
  isFed,
  modeOf,
  smallSettings,
  standingCar,
  TURN_TICKS,
  ticks,
  ticksToFlow,
} from "../../oracle/stand.ts";
import {
  catalogueTicks,
  expectFlow,
  expectTrip,
  HELD_TICKS,
  NONE,
  put,
  ticksToLow,
  withPart,
} from "./interlock-moves.ts";
import { insideManifold, withManifold, withPosition } from "./interlocks-hold.ts";

const SENSOR_TICKS = 3;

/** Two stages by turns, neither for its own longest time: the run's longest time trips. */
function expectRunTrip(): void {
  const longestRunMs = 900;
  const settings = smallSettings((s) => {
    s.flow.longestRunMs = longestRunMs;
    const [stage] = s.stages;
    const windows = [
      { openRpm: 4000, closeRpm: 5200, hysteresisRpm: 50 },
      { openRpm: 5300, closeRpm: 6600, hysteresisRpm: 50 },
    ];
    s.stages = windows.map((engineSpeed) => ({ ...structuredClone(stage!), engineSpeed, longestMs: 700 }));
  });
  const car = flowingCar(settings);
  let fedTicks = 1;
  for (let i = 0; i < 2000 && car.trip === NONE; i++) {
    car.point.rpm = i % 400 < 200 ? 5000 : 5600;
    car.tick();
    if (isFed(car)) fedTicks++;
  }
  expect(car.trip).toBe(interlockNumber("TIME"));
  expect(Math.abs(fedTicks - longestRunMs)).toBeLessThanOrEqual(2);
  expect(car.rig.live.get("tripValue")).toBeGreaterThan(1000 * longestRunMs);
}

/** One case for each of these interlocks. */
export const TRIPS: Record<string, () => void> = {
  "RPM-LOST": () => {
    const settings = smallSettings((s) => {
      s.engine.lowSpeedAcknowledged = "yes";
      s.windows.engineSpeed!.openRpm = 2100;
    });
    for (const [rpm, lostUs] of [
      [6600, 3 * 4545],
      [4000, 3 * 7500],
    ] as const) {
      const car = flowingCar(settings, { rpm });
      let silentFrom = 0;
      const cut = (): void => {
        car.engineWireCut = true;
        silentFrom = car.raw.engine.edgeUs;
      };
      expectTrip(car, "RPM-LOST", lostUs / 1000 + 2, cut, () => {
        expect(car.raw.nowUs - silentFrom).toBeLessThanOrEqual(lostUs + 2500);
        car.engineWireCut = false;
      });
    }
  },
  ENRICH: () => {
    const withinMs = 100;
    const settings = smallSettings((s) => {
      const [stage] = s.stages;
      stage!.kind = "dry";
      delete stage!.fuelSolenoid;
      stage!.enrichment = { withinMs };
    });
    const car = flowingCar(settings);
    ticks(car, 500);
    car.set("enrich", false);
    ticks(car, withinMs - 2 * TURN_TICKS);
    expect(isFed(car)).toBe(true);
    car.set("enrich", true);
    ticks(car, 5);
    expectTrip(
      car,
      "ENRICH",
      withinMs + 2 + TURN_TICKS,
      () => car.set("enrich", false),
      () => car.set("enrich", true),
    );
  },
  SENSOR: () => {
    const position = ADC_A.indexOf("throttle");
    const manifold = ADC_A.indexOf("manifold");
    const faults: [Settings, (car: Car) => void][] = [
      [withPosition, (car) => car.stuckCodes.set(position, 0)],
      [withPosition, (car) => car.stuckCodes.set(position, 4095)],
      [withManifold, (car) => car.stuckCodes.set(manifold, 0)],
      [withManifold, (car) => car.stuckCodes.set(manifold, 4095)],
    ];
    for (const [settings, fault] of faults) {
      const car = flowingCar(settings, insideManifold);
      const heal = (): void => {
        car.stuckCodes.clear();
      };
      fault(car);
      expect(ticksToLow(car, 1), "held off at the first tick that shows it").toBe(1);
      expect(car.trip).toBe(NONE);
      ticks(car, 1);
      heal();
      expect(ticksToFlow(car, 2 * HELD_TICKS), "two ticks do not trip").toBeGreaterThanOrEqual(HELD_TICKS);
      expectTrip(car, "SENSOR", SENSOR_TICKS, () => fault(car), heal);
    }
  },
  TIME: () => {
    const stageMs = 700;
    const settings = smallSettings((s) => {
      s.flow.longestRunMs = 900;
      s.stages[0]!.longestMs = stageMs;
    });
    const car = flowingCar(settings);
    ticks(car, stageMs - 4 * TURN_TICKS);
    expect(isFed(car)).toBe(true);
    expectTrip(
      car,
      "TIME",
      4 * TURN_TICKS + catalogueTicks("TIME"),
      () => {},
      () => {},
    );
    ticks(car, 300);
    car.set("throttle", false);
    ticks(car, 1000);
    car.set("throttle", true);
    ticks(car, 100);
    expect(isFed(car), "time not flowed does not count").toBe(true);
    expect(ticksToLow(car, stageMs), "flowed time is summed up over the armed period").toBeLessThan(
      stageMs - 350,
    );
    expect(car.trip).toBe(interlockNumber("TIME"));
    expectRunTrip();
  },
  "TPS-SW": () => {
    const faults: [(car: Car) => void, (car: Car) => void][] = [
      [(car) => put(car, withPosition, "throttle", 100), (car) => put(car, withPosition, "throttle", 1000)],
      [(car) => car.set("throttle", false), (car) => car.set("throttle", true)],
    ];
    for (const [fault, heal] of faults) {
      const car = flowingCar(withPosition);
      fault(car);
      ticks(car, 90);
      expect(car.trip, "a contradiction of 90 ms is none").toBe(NONE);
      heal(car);
      ticks(car, 100);
      expect(isFed(car)).toBe(true);
      const cause = (): void => fault(car);
      expectTrip(car, "TPS-SW", catalogueTicks("TPS-SW"), cause, () => heal(car));
    }
  },
  "RPM-JUMP": () => {
    const settings = smallSettings((s) => {
      s.engine.jump = { fastestRpmPerS: 30_000, unevennessPermille: 20 };
    });
    const car = flowingCar(settings, { rpm: 4000 });
    for (let rpm = 4000; rpm < 6000; rpm += 20) {
      car.point.rpm = rpm;
      car.tick();
    }
    expect(isFed(car), "20,000 rpm/s is no jump").toBe(true);
    ticks(car, 3);
    const pulseTicks = Math.ceil(120e6 / 4 / 4000 / 1000);
    const jump = (): void => {
      car.point.rpm = 4000;
    };
    expectTrip(car, "RPM-JUMP", catalogueTicks("RPM-JUMP") + 3 * pulseTicks, jump, () => {
      car.point.rpm = 6000;
    });
  },
  OVERBOOST: () => {
    const settings = withPart("manifold", (s) => {
      s.manifold!.overboost = { aboveDeciKpa: 1500 };
    });
    const car = flowingCar(settings, insideManifold);
    const to = (deciKpa: number) => () => put(car, settings, "manifold", deciKpa);
    to(1495)();
    ticks(car, 50);
    expect(isFed(car)).toBe(true);
    expectTrip(car, "OVERBOOST", catalogueTicks("OVERBOOST"), to(1505), to(1400));
  },
  "BOTTLE-HIGH": () => {
    const settings = withPart("bottle");
    const { highestKpaGauge } = settings.bottle!;
    const car = flowingCar(settings);
    const to = (kpa: number) => () => put(car, settings, "bottle", kpa);
    to(highestKpaGauge - 10)();
    ticks(car, 50);
    expect(isFed(car)).toBe(true);
    expectTrip(
      car,
      "BOTTLE-HIGH",
      catalogueTicks("BOTTLE-HIGH"),
      to(highestKpaGauge + 10),
      to(highestKpaGauge - 300),
    );
  },
  "FUEL-LOW": () => {
    const settings = withPart("fuel");
    const { lowestDeciKpaGauge } = settings.fuel!;
    const car = flowingCar(settings);
    const to = (deciKpa: number) => () => put(car, settings, "fuel", deciKpa);
    to(lowestDeciKpaGauge + 10)();
    ticks(car, 50);
    expect(isFed(car)).toBe(true);
    expectTrip(
      car,
      "FUEL-LOW",
      catalogueTicks("FUEL-LOW"),
      to(lowestDeciKpaGauge - 10),
      to(lowestDeciKpaGauge + 500),
    );
    car.set("throttle", false);
    ticks(car, 10);
    to(lowestDeciKpaGauge - 10)();
    car.set("throttle", true);
    expect(ticksToFlow(car, 200), "without fuel pressure no flow begins").toBeUndefined();
    expect(car.trip, "and what does not flow does not trip").toBe(NONE);
  },
  LEAN: () => {
    const settings = withPart("lambda");
    const { leanestMilliLambda, withinMs } = settings.lambda!;
    const car = flowingCar(settings);
    const to = (milli: number) => () => put(car, settings, "lambda", milli);
    to(leanestMilliLambda + 10)();
    ticks(car, withinMs - 3 * TURN_TICKS);
    expect(isFed(car)).toBe(true);
    to(leanestMilliLambda - 10)();
    ticks(car, 50);
    expect(isFed(car), "shorter than its time is no fault").toBe(true);
    const rich = to(leanestMilliLambda - 50);
    expectTrip(car, "LEAN", withinMs + catalogueTicks("LEAN"), to(leanestMilliLambda + 10), rich);
  },
  ADC: () => {
    const faults: ((car: Car) => void)[] = [
      (car) => {
        car.raw.adcMissing = 1 << ADC_A.indexOf("battery");
      },
      (car) => {
        car.raw.adcMissing = 0xff00;
      },
      (car) => {
        car.adcFrozen = true;
      },
      (car) => {
        for (let channel = 0; channel < 8; channel++) car.stuckCodes.set(channel, 2048);
      },
    ];
    for (const fault of faults) {
      const car = flowingCar(smallSettings());
      const heal = (): void => {
        car.raw.adcMissing = 0;
        car.adcFrozen = false;
        car.stuckCodes.clear();
      };
      expectTrip(car, "ADC", catalogueTicks("ADC"), () => fault(car), heal);
    }
  },
  VALVE: () => {
    const opensWithinMs = 500;
    const settings = withPart("bottle", (s) => {
      s.bottleValve = { opensWithinMs };
    });
    const car = standingCar(settings);
    put(car, settings, "bottle", 500);
    car.set("bottleValve", true);
    arm(car);
    ticks(car, opensWithinMs - 3 * TURN_TICKS);
    expect(modeOf(car)).toBe("armed");
    ticks(car, 3 * TURN_TICKS + catalogueTicks("VALVE"));
    expect(modeOf(car)).toBe("tripped");
    expect(car.trip).toBe(interlockNumber("VALVE"));
    put(car, settings, "bottle", 6700);
    arm(car);
    expectFlow(car);
  },
};
