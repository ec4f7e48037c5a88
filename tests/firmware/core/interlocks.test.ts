// Every interlock that works: its cause, its reaction, its time in ticks, what brings flow back. One case for each row of the catalogue.
import { describe, expect, test } from "vitest";
import { OUTPUT_BITS } from "#shared-schema/blocks.ts";
import { INTERLOCKS, interlockNumber } from "#shared-schema/interlocks.ts";
import { type Document, pack } from "#shared-schema/pack.ts";
import { ADC_A } from "#shared-schema/pins.ts";
import { Car } from "../../oracle/car.ts";
import { CoreRefused, Device } from "../../oracle/device.ts";
import { lineOf, mvAt, type Settings } from "../../oracle/settings.ts";
import {
  arm,
  FED_TICKS,
  flowingCar,
  GOOD_POINT,
  isFed,
  modeOf,
  OFF_TICKS,
  SETTLING_TICKS,
  smallSettings,
  standingCar,
  store,
  TURN_TICKS,
  ticks,
  ticksToFlow,
} from "../../oracle/stand.ts";
import { freshCore } from "../../support/core.ts";
import { fullDocument } from "../../support/documents.ts";

const NONE = 255;
const HELD_TICKS = 20;
const BOUNCE_TICKS = 4;
const SENSOR_TICKS = 3;
const full = fullDocument() as unknown as Settings;

const reason = (car: Car, id: string): boolean => ((car.reasons >>> interlockNumber(id)) & 1) === 1;

/** An armed car flows when its time has come, not before. */
function expectFlow(car: Car): void {
  expect(ticksToFlow(car, FED_TICKS)).toBeGreaterThanOrEqual(SETTLING_TICKS);
}

/** Ticks until no pin is driven any more, the tick of the cause counted as the first; fails past `most`. */
function ticksToLow(car: Car, most: number): number {
  for (let i = 1; i <= most; i++) {
    car.tick();
    if (!isFed(car)) return i;
  }
  throw new Error(`still fed after ${most} ticks`);
}

/** Flow stops within `most` ticks, for this reason alone, with nothing latched; after the cause it comes back by itself. */
function expectHoldOff(car: Car, id: string, most: number, cause: () => void, remedy: () => void): void {
  cause();
  ticksToLow(car, most);
  expect(car.trip).toBe(NONE);
  expect(modeOf(car)).toBe("armed");
  expect(car.reasons).toBe(1 << interlockNumber(id));
  ticks(car, 300);
  expect(isFed(car)).toBe(false);
  remedy();
  expect(ticksToFlow(car, 4 * HELD_TICKS)).toBeGreaterThanOrEqual(HELD_TICKS);
}

/** Everything off within `most` ticks and latched: the remedy alone and a short off do not clear it, 200 ms off do. */
function expectTrip(car: Car, id: string, most: number, cause: () => void, remedy: () => void): void {
  cause();
  const low = ticksToLow(car, most);
  while (modeOf(car) !== "tripped" && most > low) car.tick();
  expect(car.trip).toBe(interlockNumber(id));
  expect(reason(car, id)).toBe(true);
  expect(car.outputFlags & (1 << OUTPUT_BITS.keepAlive)).toBe(0);
  remedy();
  expect(ticksToFlow(car, 400)).toBeUndefined();
  car.set("arm", false);
  ticks(car, OFF_TICKS - 30);
  car.set("arm", true);
  expect(ticksToFlow(car, 400)).toBeUndefined();
  expect(modeOf(car)).toBe("tripped");
  arm(car);
  expect(car.trip).toBe(NONE);
  expectFlow(car);
}

const withPosition = smallSettings((s) => {
  s.throttle.position = structuredClone(full.throttle.position!);
});
const withManifold = smallSettings((s) => {
  s.manifold = structuredClone(full.manifold!);
  delete s.manifold.overboost;
  s.windows.manifold = structuredClone(full.windows.manifold!);
});
const withRoad = smallSettings((s) => {
  s.road = { pulsesPerKm: 20_000 };
  s.windows.roadSpeed = structuredClone(full.windows.roadSpeed!);
});
const insideManifold = { manifoldMv: mvAt(lineOf(full, "manifold")!, 950) };

/** The refusal's reason is `notOff`. */
function expectRefused(car: Car, ask: (device: Device) => void): void {
  expect(() => ask(new Device(car.rig))).toThrow(CoreRefused);
  expect(() => ask(new Device(car.rig))).toThrow(/"reason":3/);
}

/** A core that starts with settings in flash, for the reason given, with the arm switch as it is. */
function restarted(car: Car, bootReason: number, detail = 0, place = 0): Car {
  const rig = freshCore();
  rig.flash.bytes.set(car.rig.flash.bytes);
  rig.boot.set("detail", detail);
  rig.boot.set("place", place);
  rig.start(bootReason);
  const again = new Car(rig, smallSettings(), GOOD_POINT, car.raw.nowUs);
  again.raw.switches = car.raw.switches;
  again.raw.armCuts = 0;
  return again;
}

function expectOffAfterRestart(bootReason: number): void {
  const car = flowingCar(smallSettings());
  const again = restarted(car, bootReason, 1, 0x1000_0abc);
  expect(ticksToFlow(again, 1000)).toBeUndefined();
  expect(modeOf(again)).toBe("off");
  const { values } = new Device(again.rig).ask("hello");
  expect(values).toMatchObject({ bootReason, bootDetail: 1, bootPlace: 0x1000_0abc, slotNote: 0, slot: 1 });
  arm(again);
  expectFlow(again);
}

const CASES: Record<string, () => void> = {
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
    const put = (permille: number) => () => {
      car.point.throttleMv = mvAt(lineOf(withPosition, "throttle")!, permille);
    };
    const lift = (): void => {
      car.set("throttle", false);
      put(100)();
    };
    const back = (permille: number) => (): void => {
      car.set("throttle", true);
      put(permille)();
    };
    expectHoldOff(car, "WOT", 1, lift, back(1000));
    car.set("throttle", false);
    expect(ticksToLow(car, 1), "either way alone is enough").toBe(1);
    ticks(car, 20);
    back(1000)();
    ticks(car, 60);
    put(position!.closesAtPermille - 4)();
    expect(ticksToLow(car, 1), "either way alone is enough").toBe(1);
    ticks(car, 20);
    back(position!.opensAtPermille + 4)();
    ticks(car, 60);
    put(position!.closesAtPermille + 4)();
    ticks(car, 50);
    expect(isFed(car), "between the thresholds flow goes on").toBe(true);
    put(position!.closesAtPermille - 4)();
    ticks(car, 50);
    put(position!.opensAtPermille - 4)();
    expect(ticksToFlow(car, 200), "between the thresholds flow does not begin").toBeUndefined();
  },
  "RPM-WIN": () => {
    const car = flowingCar(smallSettings());
    const { openRpm, closeRpm, hysteresisRpm } = smallSettings().windows.engineSpeed!;
    const pulseTicks = Math.ceil(120e6 / 4 / (openRpm - 400) / 1000);
    const put = (rpm: number) => () => {
      car.point.rpm = rpm;
    };
    expectHoldOff(car, "RPM-WIN", 2 * pulseTicks + 2, put(closeRpm + 30), put(closeRpm - hysteresisRpm - 30));
    expectHoldOff(car, "RPM-WIN", 2 * pulseTicks + 2, put(openRpm - hysteresisRpm - 30), put(openRpm + 30));
    put(openRpm - hysteresisRpm + 30)();
    ticks(car, 100);
    expect(isFed(car), "above open less hysteresis flow goes on").toBe(true);
    put(closeRpm + 30)();
    ticks(car, 50);
    put(closeRpm - hysteresisRpm + 30)();
    expect(ticksToFlow(car, 200), "close less hysteresis is not reached").toBeUndefined();
  },
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
  "SPEED-WIN": () => {
    const car = flowingCar(withRoad);
    const { openDeciKmh, closeDeciKmh, hysteresisDeciKmh } = withRoad.windows.roadSpeed!;
    const put = (deciKmh: number) => () => {
      car.point.deciKmh = deciKmh;
    };
    const pulseTicks = Math.ceil(3.6e10 / (openDeciKmh - 50) / 20_000 / 1000);
    const back = closeDeciKmh - hysteresisDeciKmh - 5;
    expectHoldOff(car, "SPEED-WIN", 2 * pulseTicks + 2, put(closeDeciKmh + 10), put(back));
    expectHoldOff(
      car,
      "SPEED-WIN",
      2 * pulseTicks + 2,
      put(openDeciKmh - hysteresisDeciKmh - 5),
      put(openDeciKmh + 5),
    );
    expectHoldOff(car, "SPEED-WIN", 2 * pulseTicks + 2, put(0), put(openDeciKmh + 5));
  },
  "MAP-WIN": () => {
    const car = flowingCar(withManifold, insideManifold);
    const { openDeciKpa, closeDeciKpa, hysteresisDeciKpa } = withManifold.windows.manifold!;
    const put = (deciKpa: number) => () => {
      car.point.manifoldMv = mvAt(lineOf(full, "manifold")!, deciKpa);
    };
    expectHoldOff(car, "MAP-WIN", 3, put(closeDeciKpa + 8), put(closeDeciKpa - hysteresisDeciKpa - 8));
    expectHoldOff(car, "MAP-WIN", 3, put(openDeciKpa - hysteresisDeciKpa - 8), put(openDeciKpa + 8));
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
      5 * TURN_TICKS,
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
  },
  SETTINGS: () => {
    const rig = freshCore();
    rig.start();
    const car = new Car(rig, smallSettings(), GOOD_POINT, 1_000_000);
    expect(() => arm(car)).toThrow("does not arm: off");
    expect(reason(car, "SETTINGS")).toBe(true);
    car.set("arm", false);
    ticks(car, 10);
    store(rig, smallSettings());
    arm(car);
    expectFlow(car);
  },
  TRAP: () => expectOffAfterRestart(2),
  HANG: () => expectOffAfterRestart(1),
  IMAGE: () => {
    const rig = freshCore();
    rig.start();
    rig.boot.set("imageGood", 0);
    store(rig, smallSettings());
    const car = new Car(rig, smallSettings(), GOOD_POINT, 1_000_000);
    expect(() => arm(car)).toThrow("does not arm: off");
    expect(reason(car, "IMAGE")).toBe(true);
  },
  LINK: () => {
    const words = pack(smallSettings() as unknown as Document);
    const armed = arm(standingCar(smallSettings()));
    for (const car of [armed, flowingCar(smallSettings())]) {
      const mode = modeOf(car);
      expectRefused(car, (device) => device.transfer(words));
      expectRefused(car, (device) => device.ask("writeCommit", { id: 1 }));
      expectRefused(car, (device) => device.ask("restart", { target: 0 }));
      car.tick();
      expect(modeOf(car)).toBe(mode);
      expect(car.rig.requests).toEqual([]);
    }
  },
};

describe("interlocks", () => {
  const working = INTERLOCKS.filter((row) => row.works).map((row) => row.id);

  test("no case names an interlock that does not work; that every row is proved is looked at with the proof at the pins", () => {
    expect(working).toEqual(expect.arrayContaining(Object.keys(CASES)));
  });

  test.each(Object.entries(CASES))("%s", (_, run) => run());
});

describe("noise at the arm switch", () => {
  /** An off of some ticks. */
  function bounce(car: Car, offTicks: number): void {
    car.set("arm", false);
    ticks(car, offTicks);
    car.set("arm", true);
  }

  test("an off shorter than 5 ms stops flow until the switch is steady for 5 ms, and keeps the place in the ramp", () => {
    const slow = smallSettings((s) => {
      s.stages[0]!.ramps[0]!.points = [
        [0, 0],
        [4000, 1000],
      ];
    });
    const car = arm(standingCar(slow));
    ticks(car, 1500);
    const share = car.sharePermille(0);
    bounce(car, BOUNCE_TICKS);
    expect(isFed(car)).toBe(false);
    expect(ticksToFlow(car, 10)).toBe(6);
    expect(car.sharePermille(0)).toBeGreaterThanOrEqual(share);
    expect(car.sharePermille(0)).toBeLessThan(share + 10);
    expect(car.rig.live.get("noiseCuts")).toBe(1);
  });

  test("a cut that was over between two ticks counts the same", () => {
    const car = flowingCar(smallSettings());
    car.raw.armCuts += 2;
    expect(isFed(car), "the board holds the pins until the core has seen the cut").toBe(false);
    expect(ticksToFlow(car, 10)).toBe(6);
    expect(car.rig.live.get("noiseCuts")).toBe(1);
  });

  test("more than three cuts in one armed period disarm; a new period counts anew", () => {
    const car = flowingCar(smallSettings());
    for (let period = 0; period < 2; period++) {
      for (let i = 0; i < 3; i++) {
        bounce(car, 2);
        expect(ticksToFlow(car, 10)).toBe(6);
      }
      bounce(car, 2);
      expect(ticksToFlow(car, 400)).toBeUndefined();
      expect(modeOf(car)).toBe("off");
      arm(car);
      expectFlow(car);
    }
  });
});
