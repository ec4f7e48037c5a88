// Cases of the interlocks that hold flow off while their cause lasts.
import { expect } from "vitest";
import { interlockNumber } from "#shared-schema/model/interlocks.ts";
import { lineOf, mvAt } from "../../oracle/settings.ts";
import {
  arm,
  FED_TICKS,
  flowingCar,
  isFed,
  modeOf,
  OFF_TICKS,
  smallSettings,
  standingCar,
  ticks,
  ticksToFlow,
} from "../../oracle/stand.ts";
import {
  catalogueTicks,
  expectFlow,
  expectHoldOff,
  expectTrip,
  full,
  NONE,
  put,
  reason,
  ticksToLow,
  withPart,
} from "./interlock-moves.ts";

/** Ticks for which the throttle must be seen closed. */
const LIFT_TICKS = 50;
/** Settings with a throttle switch and a position sensor. */
export const withPosition = smallSettings((s) => {
  s.throttle.position = structuredClone(full.throttle.position!);
});
/** Settings with a window on manifold pressure. */
export const withManifold = withPart("manifold", (s) => {
  s.windows.manifold = structuredClone(full.windows.manifold!);
});
/** A place inside that window. */
export const insideManifold = { manifoldMv: mvAt(lineOf(full, "manifold")!, 950) };
const withRoad = smallSettings((s) => {
  s.road = { pulsesPerKm: 20_000, sender: "driveshaft" };
  s.windows.roadSpeed = structuredClone(full.windows.roadSpeed!);
});
const withGears = smallSettings((s) => {
  s.road = { pulsesPerKm: 20_000, sender: "driveshaft" };
  s.gearbox = structuredClone(full.gearbox!);
  s.windows.gears = { lowest: "second", highest: "third" };
});

/** One case for each of these interlocks. */
export const HOLDS: Record<string, () => void> = {
  ARM: () => {
    const car = flowingCar(smallSettings());
    car.set("arm", false);
    expect(ticksToLow(car, 1)).toBe(1);
    ticks(car, 5);
    expect(modeOf(car)).toBe("off");
    expect(car.trip).toBe(NONE);
    car.set("arm", true);
    expect(ticksToFlow(car, 400), "off for 6 ms is not off for 200 ms").toBeUndefined();
    arm(car);
    expectFlow(car);
  },
  "ARM-BOOT": () => {
    const car = standingCar(smallSettings());
    car.set("throttle", true);
    car.set("arm", true);
    expect(ticksToFlow(car, 1000)).toBeUndefined();
    expect(modeOf(car)).toBe("off");
    expect(reason(car, "ARM-BOOT")).toBe(true);
    arm(car);
    expect(reason(car, "ARM-BOOT")).toBe(false);
    expectFlow(car);
  },
  WOT: () => {
    const car = flowingCar(withPosition);
    const { position } = withPosition.throttle;
    const to = (permille: number) => () => put(car, withPosition, "throttle", permille);
    const lift = (): void => {
      car.set("throttle", false);
      to(100)();
    };
    const back = (permille: number) => (): void => {
      car.set("throttle", true);
      to(permille)();
    };
    expectHoldOff(car, "WOT", 1, lift, back(1000));
    car.set("throttle", false);
    expect(ticksToLow(car, 1), "either way alone is enough").toBe(1);
    ticks(car, 20);
    back(1000)();
    ticks(car, 60);
    to(position!.closesAtPermille - 4)();
    expect(ticksToLow(car, 1), "either way alone is enough").toBe(1);
    ticks(car, 20);
    back(position!.opensAtPermille + 4)();
    ticks(car, 60);
    to(position!.closesAtPermille + 4)();
    ticks(car, 50);
    expect(isFed(car), "between the thresholds flow goes on").toBe(true);
    to(position!.closesAtPermille - 4)();
    ticks(car, 50);
    to(position!.opensAtPermille - 4)();
    expect(ticksToFlow(car, 200), "between the thresholds flow does not begin").toBeUndefined();
  },
  "RPM-WIN": () => {
    const car = flowingCar(smallSettings());
    const { openRpm, closeRpm, hysteresisRpm } = smallSettings().windows.engineSpeed!;
    const pulseTicks = Math.ceil(120e6 / 4 / (openRpm - 400) / 1000);
    const to = (rpm: number) => () => {
      car.point.rpm = rpm;
    };
    expectHoldOff(car, "RPM-WIN", 2 * pulseTicks + 2, to(closeRpm + 30), to(closeRpm - hysteresisRpm - 30));
    expectHoldOff(car, "RPM-WIN", 2 * pulseTicks + 2, to(openRpm - hysteresisRpm - 30), to(openRpm + 30));
    to(openRpm - hysteresisRpm + 30)();
    ticks(car, 100);
    expect(isFed(car), "above open less hysteresis flow goes on").toBe(true);
    to(closeRpm + 30)();
    ticks(car, 50);
    to(closeRpm - hysteresisRpm + 30)();
    expect(ticksToFlow(car, 200), "close less hysteresis is not reached").toBeUndefined();
  },
  "SPEED-WIN": () => {
    const car = flowingCar(withRoad);
    const { openDeciKmh, closeDeciKmh, hysteresisDeciKmh } = withRoad.windows.roadSpeed!;
    const to = (deciKmh: number) => () => {
      car.point.deciKmh = deciKmh;
    };
    const pulseTicks = Math.ceil(3.6e10 / (openDeciKmh - 50) / 20_000 / 1000);
    const back = closeDeciKmh - hysteresisDeciKmh - 5;
    expectHoldOff(car, "SPEED-WIN", 2 * pulseTicks + 2, to(closeDeciKmh + 10), to(back));
    expectHoldOff(
      car,
      "SPEED-WIN",
      2 * pulseTicks + 2,
      to(openDeciKmh - hysteresisDeciKmh - 5),
      to(openDeciKmh + 5),
    );
    expectHoldOff(car, "SPEED-WIN", 2 * pulseTicks + 2, to(0), to(openDeciKmh + 5));
  },
  "MAP-WIN": () => {
    const car = flowingCar(withManifold, insideManifold);
    const { openDeciKpa, closeDeciKpa, hysteresisDeciKpa } = withManifold.windows.manifold!;
    const to = (deciKpa: number) => () => put(car, withManifold, "manifold", deciKpa);
    expectHoldOff(
      car,
      "MAP-WIN",
      catalogueTicks("MAP-WIN"),
      to(closeDeciKpa + 8),
      to(closeDeciKpa - hysteresisDeciKpa - 8),
    );
    expectHoldOff(
      car,
      "MAP-WIN",
      catalogueTicks("MAP-WIN"),
      to(openDeciKpa - hysteresisDeciKpa - 8),
      to(openDeciKpa + 8),
    );
  },
  "GEAR-WIN": () => {
    const car = flowingCar(withGears);
    const at = (gear: number) => () => {
      car.point.deciKmh = (100 * car.point.rpm) / withGears.gearbox!.gears[gear]!.ratioDeciRpmPerKmh;
    };
    const pulses = catalogueTicks("GEAR-WIN") + 2 * Math.ceil(3.6e10 / 400 / 20_000 / 1000);
    at(2)();
    ticks(car, 100);
    expect(isFed(car), "third gear is allowed too").toBe(true);
    expectHoldOff(car, "GEAR-WIN", pulses, at(0), at(1));
    expectHoldOff(car, "GEAR-WIN", pulses, at(3), at(2));
    const between = (): void => {
      car.point.deciKmh = (100 * car.point.rpm) / 530;
    };
    expectHoldOff(car, "GEAR-WIN", pulses, between, at(1));
  },
  "BOTTLE-LOW": () => {
    const settings = withPart("bottle");
    const { lowestKpaGauge, hysteresisKpaGauge } = settings.bottle!;
    const car = flowingCar(settings);
    const to = (kpa: number) => () => put(car, settings, "bottle", kpa);
    const enough = lowestKpaGauge + hysteresisKpaGauge + 10;
    expectHoldOff(car, "BOTTLE-LOW", catalogueTicks("BOTTLE-LOW"), to(lowestKpaGauge - 10), to(enough));
    expectHoldOff(car, "BOTTLE-LOW", catalogueTicks("BOTTLE-LOW"), to(0), to(enough));
    to(lowestKpaGauge - 10)();
    ticks(car, 50);
    put(car, settings, "bottle", lowestKpaGauge + hysteresisKpaGauge - 10);
    expect(ticksToFlow(car, 200), "the hysteresis is not yet passed").toBeUndefined();
  },
  "BATT-LOW": () => {
    const settings = smallSettings();
    const car = flowingCar(settings);
    const to = (mv: number) => () => {
      car.point.batteryMv = mv;
    };
    expectHoldOff(
      car,
      "BATT-LOW",
      catalogueTicks("BATT-LOW"),
      to(settings.battery.lowestMv - 10),
      to(12_000),
    );
  },
  LIFT: () => {
    for (const settings of [smallSettings(), withPosition]) {
      const car = standingCar(settings);
      const welded = car.lift();
      welded();
      car.set("arm", false);
      ticks(car, OFF_TICKS);
      car.set("arm", true);
      expect(ticksToFlow(car, 1000), "the throttle was never seen closed").toBeUndefined();
      expect(modeOf(car)).toBe("armed");
      expect(car.reasons).toBe(1 << interlockNumber("LIFT"));
      const press = car.lift();
      ticks(car, LIFT_TICKS - 2);
      press();
      expect(ticksToFlow(car, 200), "seen closed too shortly").toBeUndefined();
      car.lift();
      ticks(car, LIFT_TICKS + 1);
      press();
      expect(ticksToFlow(car, FED_TICKS)).toBeDefined();
      const again = car.lift();
      ticks(car, 5);
      again();
      expect(ticksToFlow(car, FED_TICKS), "once is enough for an armed period").toBeDefined();
    }
  },
  SUPPLY: () => {
    const car = flowingCar(smallSettings());
    const drop = (mv: number) => () => {
      car.wiring.dropMv = mv;
    };
    drop(1900)();
    ticks(car, 700);
    expect(isFed(car), "less than 2 V is lost in wiring").toBe(true);
    drop(2100)();
    ticksToLow(car, catalogueTicks("SUPPLY"));
    expect(car.trip).toBe(NONE);
    expect(car.reasons >>> 0).toBe(2 ** interlockNumber("SUPPLY"));
    drop(0)();
    ticks(car, 400);
    expect(isFed(car), "it comes back").toBe(true);
    expectTrip(car, "SUPPLY", 510, drop(2100), drop(0));
    const battery = (mv: number) => () => {
      car.point.batteryMv = mv;
    };
    battery(16_400)();
    ticks(car, 50);
    expect(isFed(car)).toBe(true);
    battery(16_600)();
    ticksToLow(car, 6);
    battery(16_200)();
    expect(ticksToFlow(car, 100), "the hysteresis is not passed").toBeUndefined();
    battery(15_900)();
    expect(ticksToFlow(car, 300)).toBeDefined();
  },
  COOLANT: () => {
    const settings = withPart("coolant");
    const car = flowingCar(settings);
    const to = (mv: number) => () => {
      car.point.coolantMv = mv;
    };
    const { coldAboveMv, hotBelowMv } = settings.coolant!;
    expectHoldOff(car, "COOLANT", catalogueTicks("COOLANT"), to(coldAboveMv + 5), to(coldAboveMv - 5));
    expectHoldOff(car, "COOLANT", catalogueTicks("COOLANT"), to(hotBelowMv - 5), to(hotBelowMv + 5));
  },
};
