// Cases of the interlocks that lock out, cut back, refuse, or keep the controller from arming at all.
import { expect } from "vitest";
import { interlockNumber } from "#shared-schema/model/interlocks.ts";
import { type Document, pack } from "#shared-schema/settings/pack.ts";
import { Car } from "../../oracle/car.ts";
import { CoreRefused, Device } from "../../oracle/device.ts";
import {
  arm,
  flowingCar,
  GOOD_POINT,
  isFed,
  modeOf,
  smallSettings,
  standingCar,
  store,
  TURN_TICKS,
  ticks,
  ticksToFlow,
} from "../../oracle/stand.ts";
import { freshCore } from "../../support/core.ts";
import { catalogueTicks, expectFlow, expectLockout, NONE, reason } from "./interlock-moves.ts";

/** The refusal's reason is `notOff`. */
function expectRefused(car: Car, ask: (device: Device) => void): void {
  expect(() => ask(new Device(car.rig))).toThrow(CoreRefused);
  expect(() => ask(new Device(car.rig))).toThrow(/"reason":3/);
}

/** A core that starts with settings in flash, for the reason given and what was kept, with the arm switch as it is. */
function restarted(car: Car, bootReason: number, detail = 0, place = 0, lockout = 0): Car {
  const rig = freshCore();
  rig.flash.bytes.set(car.rig.flash.bytes);
  rig.boot.set("detail", detail);
  rig.boot.set("place", place);
  rig.boot.set("lockout", lockout);
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

/** A car that locks itself while it arms. */
function expectLockedWhileArming(id: string, fault: (car: Car) => void, heal: (car: Car) => void): void {
  const car = standingCar(smallSettings());
  fault(car);
  expect(() => arm(car)).toThrow("does not arm: locked");
  expect(car.trip).toBe(interlockNumber(id));
  expect(car.outputFlags & 1).toBe(0);
  heal(car);
  expect(() => arm(car), "the arm switch does not clear it").toThrow("does not arm: locked");
  for (const cause of [1, 2, 3]) {
    const locked = restarted(car, cause, 0, 0, car.lockout);
    expect(() => arm(locked), "no reset clears it").toThrow("does not arm: locked");
    expect([locked.trip, locked.rig.live.get("tripValue")]).toEqual([
      car.trip,
      car.rig.live.get("tripValue"),
    ]);
    expect(locked.lockout).toBe(car.lockout);
  }
  const again = restarted(car, 0);
  arm(again);
  expectFlow(again);
}

/** One case for each of these interlocks. */
export const OTHERS: Record<string, () => void> = {
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
      expectRefused(car, (device) => device.ask("writeCommit", { id: 1, boardNumber: 0 }));
      expectRefused(car, (device) => device.ask("restart", { target: 0 }));
      car.tick();
      expect(modeOf(car)).toBe(mode);
      expect(car.rig.requests).toEqual([]);
    }
  },
  DRIVER: () => {
    const period = 50;
    const faults = { shorted: 200, openLoad: 2500, stuckOff: 12_000 };
    for (const mv of Object.values(faults)) {
      const car = flowingCar(smallSettings());
      ticks(car, 200);
      const most = period + catalogueTicks("DRIVER");
      const cause = (): void => void car.wiring.stuckDrainsMv.set(0, mv);
      expectLockout(car, "DRIVER", most, cause, () => car.wiring.stuckDrainsMv.clear());
    }
    for (const mv of [faults.shorted, faults.openLoad])
      expectLockedWhileArming(
        "DRIVER",
        (car) => car.wiring.stuckDrainsMv.set(1, mv),
        (car) => car.wiring.stuckDrainsMv.clear(),
      );
    const car = standingCar(smallSettings());
    car.wiring.stuckDrainsMv.set(2, 0);
    arm(car);
    expectFlow(car);
  },
  CLAMP: () => {
    const period = 50;
    const car = flowingCar(smallSettings((s) => Object.assign(s, { clamps: { kickMv: 18_500 } })));
    ticks(car, 200);
    const most = 5 * period + catalogueTicks("CLAMP");
    const kickless = (pins: number) => (): void => {
      car.wiring.kickless = pins;
    };
    expectLockout(car, "CLAMP", most, kickless(1), kickless(0));
  },
  RELAY: () =>
    expectLockedWhileArming(
      "RELAY",
      (car) => {
        car.wiring.relay = "welded";
      },
      (car) => {
        car.wiring.relay = "sound";
      },
    ),
  "KEEP-ALIVE": () => {
    const dead = (car: Car): void => {
      car.wiring.relay = "dead";
    };
    const sound = (car: Car): void => {
      car.wiring.relay = "sound";
    };
    expectLockedWhileArming("KEEP-ALIVE", dead, sound);
    const car = flowingCar(smallSettings());
    ticks(car, 200);
    expectLockout(
      car,
      "KEEP-ALIVE",
      catalogueTicks("KEEP-ALIVE"),
      () => dead(car),
      () => sound(car),
    );
  },
  DRIVELINE: () => {
    const cut = { fastestDeciKmhPerS: 600, cutToPermille: 300, holdMs: 250 };
    const settings = smallSettings((s) => {
      s.road = { pulsesPerKm: 60_000, sender: "driveshaft" };
      s.driveline = cut;
    });
    const car = flowingCar(settings);
    const run = (deciKmhPerTick: number, count: number): void => {
      for (let i = 0; i < count; i++) {
        car.point.deciKmh += deciKmhPerTick;
        car.tick();
      }
    };
    run(0.4, 200);
    expect(car.sharePermille(0), "400 a second is grip").toBe(600);
    run(20, catalogueTicks("DRIVELINE") + TURN_TICKS);
    expect(car.sharePermille(0)).toBe(cut.cutToPermille);
    expect(isFed(car)).toBe(true);
    expect(car.trip).toBe(NONE);
    run(0, cut.holdMs - 3 * TURN_TICKS);
    expect(car.sharePermille(0)).toBe(cut.cutToPermille);
    run(0, 8 * TURN_TICKS);
    expect(car.sharePermille(0), "then it rises again").toBe(600);
  },
};
