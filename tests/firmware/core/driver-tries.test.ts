// The tries of drivers at arming on whole cars: which pins, what a test that is broken off or a cut leaves, and when none is made.
import { describe, expect, test } from "vitest";
import { TRY_US } from "#shared-schema/model/blocks.ts";
import type { Car } from "../../oracle/car.ts";
import { fullSettings, modeOf, OFF_TICKS, smallSettings, standingCar, ticks } from "../../oracle/stand.ts";

/** Each of the two drivers has its try, four ticks after what was before; the end comes as late after the last. */
const TRY_TICKS = 4 * (2 + 1);
/** The converters count as dead once so many ticks have brought no round. */
const DEAD_TICKS = 4;

describe("tries of drivers", () => {
  /** Arms a car whose first so many tries fail; the pins that were tried. After `stopAfter` tries the switch goes off. */
  function triedPins(car: Car, failing: number, stopAfter = Number.POSITIVE_INFINITY): number[] {
    car.set("arm", false);
    ticks(car, OFF_TICKS);
    car.set("arm", true);
    const tried: number[] = [];
    for (let i = 0; i < 300 && !["armed", "locked"].includes(modeOf(car)); i++) {
      car.wiring.stuckDrainsMv.clear();
      const pins = car.pins().flatMap((width, n) => (width > 0 ? [n] : []));
      tried.push(...pins);
      if (tried.length <= failing) for (const n of pins) car.wiring.stuckDrainsMv.set(n, 12_000);
      car.tick();
      if (tried.length < stopAfter) continue;
      car.set("arm", false);
      ticks(car, OFF_TICKS);
      break;
    }
    car.wiring.stuckDrainsMv.clear();
    return tried;
  }

  test.each([1, 2, 3, 4])(
    "a test that is broken off after %i tries leaves nothing of them to the next",
    (after) => {
      const car = standingCar(smallSettings());
      expect(triedPins(car, 2, after)).toEqual([0, 0, 0, 1].slice(0, after));
      expect(modeOf(car)).toBe("off");
      expect(triedPins(car, 2)).toEqual([0, 0, 0, 1]);
      expect(modeOf(car)).toBe("armed");
    },
  );

  test("a switch that goes off at any moment of a try leaves no pulse to the next test but its own tries", () => {
    let whole = 0;
    for (const car = armingCar().car; modeOf(car) !== "armed"; whole++) car.tick();
    for (let before = 0; before < TRY_TICKS; before++) {
      const { car } = armingCar();
      ticks(car, whole - before);
      car.set("arm", false);
      ticks(car, OFF_TICKS);
      expect(modeOf(car)).toBe("off");
      expect(triedPins(car, 0), `${before} ticks before the end`).toEqual([0, 1]);
    }
  });

  test("every pin that has a solenoid, and no other: a dry stage may stand anywhere", () => {
    for (const dry of [0, 1, 2, 3]) {
      const settings = fullSettings((s) => {
        const { fuelSolenoid } = s.stages[0]!;
        s.stages.forEach((stage, i) => {
          stage.kind = i === dry ? "dry" : "wet";
          if (i === dry) delete stage.fuelSolenoid;
          else stage.fuelSolenoid = structuredClone(fuelSolenoid!);
        });
      });
      const car = standingCar(settings);
      const configured = [0, 1, 2, 3, 4, 5, 6, 7].filter((n) => n !== 2 * dry + 1);
      expect(triedPins(car, 0)).toEqual(configured);
      expect(modeOf(car)).toBe("armed");
    }
  });

  test("a cut of the arm switch in a try says nothing of the driver: it is tried again", () => {
    const car = standingCar(smallSettings());
    ticks(car, OFF_TICKS);
    car.set("arm", true);
    let tried = 0;
    for (let i = 0; i < 300 && modeOf(car) !== "armed"; i++) {
      car.tick();
      if (car.pin(0) > 0 && ++tried === 1) car.raw.armCuts++;
    }
    expect(tried).toBe(2);
    expect(modeOf(car)).toBe("armed");
  });

  /** A car whose arm switch has gone on, and its ticks: how many of them had a pulse. */
  function armingCar(): { car: Car; triesIn: (count: number) => number } {
    const car = standingCar(smallSettings());
    ticks(car, OFF_TICKS);
    car.set("arm", true);
    const triesIn = (count: number): number => {
      let tries = 0;
      for (let i = 0; i < count; i++) {
        car.tick();
        if (car.pins().some((width) => width > 0)) tries++;
      }
      return tries;
    };
    return { car, triesIn };
  }

  test.each([
    ["no rounds come", { frozen: true, missing: 0 }],
    ["a channel does not answer", { frozen: false, missing: 1 << 8 }],
  ])("no driver is tried while the converters are dead, and each is once they live: %s", (_, dead) => {
    let untilTry = 1;
    for (const { triesIn } = armingCar(); triesIn(1) === 0; ) untilTry++;
    const { car, triesIn } = armingCar();
    ticks(car, untilTry - DEAD_TICKS);
    car.adcFrozen = dead.frozen;
    car.raw.adcMissing = dead.missing;
    expect(triesIn(100)).toBe(0);
    expect(modeOf(car)).toBe("arming");
    car.adcFrozen = false;
    car.raw.adcMissing = 0;
    expect(triesIn(TRY_TICKS)).toBe(2);
    expect(modeOf(car)).toBe("armed");
  });

  test.each([
    [3 * TRY_US, 2],
    [3 * TRY_US - 1, 0],
  ])("not where a valve opens in less than 1.5 ms: %i us", (openingUs, most) => {
    for (const name of ["opening10VUs", "opening12VUs", "opening14VUs"] as const) {
      const settings = smallSettings((s) => {
        const [stage] = s.stages;
        Object.assign(stage!.nitrousSolenoid, { opening10VUs: 5000, opening12VUs: 5000, opening14VUs: 5000 });
        Object.assign(stage!.fuelSolenoid!, { opening10VUs: 1501, opening12VUs: 1501, opening14VUs: 1500 });
        Object.assign(stage!.fuelSolenoid!, { [name]: openingUs });
        if (name === "opening14VUs") return;
        for (const less of ["opening12VUs", "opening14VUs"] as const)
          stage!.fuelSolenoid![less] = Math.min(stage!.fuelSolenoid![less], openingUs);
      });
      const car = standingCar(settings);
      ticks(car, OFF_TICKS);
      car.set("arm", true);
      let tries = 0;
      for (let i = 0; i < 300 && modeOf(car) !== "armed"; i++) {
        car.tick();
        if (car.pins().some((width) => width > 0)) tries++;
      }
      expect(modeOf(car)).toBe("armed");
      expect(tries).toBe(most);
    }
  });
});
