// Every transition of the table of modes, driven on the core; the core changes its mode nowhere else, and the picture shows the same ones.
import { readdirSync, readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { MODES, type Mode, pairsOf, TRANSITIONS } from "#shared-schema/model/modes.ts";
import type { Car } from "../../oracle/car.ts";
import { Device } from "../../oracle/device.ts";
import { arm, flowingCar, modeOf, OFF_TICKS, smallSettings, standingCar, ticks } from "../../oracle/stand.ts";

/** A run of this length trips by itself: the one cause here that trips what flows without holding it off before. */
const LONGEST_RUN_MS = 500;
const SETTINGS = smallSettings((s) => {
  s.flow.longestRunMs = LONGEST_RUN_MS;
  s.stages[0]!.longestMs = LONGEST_RUN_MS;
});
const WITHIN_TICKS = LONGEST_RUN_MS + 200;

function switchOn(car: Car): void {
  car.set("arm", false);
  ticks(car, OFF_TICKS);
  car.set("arm", true);
}

/** Ticks until the mode is another; what it is then. */
function next(car: Car): Mode {
  const before = modeOf(car);
  for (let i = 0; i < WITHIN_TICKS && modeOf(car) === before; i++) car.tick();
  return modeOf(car) as Mode;
}

function arming(): Car {
  const car = standingCar(SETTINGS);
  switchOn(car);
  next(car);
  return car;
}

function tripped(): Car {
  const car = arm(standingCar(SETTINGS));
  car.raw.adcMissing = 1;
  next(car);
  car.raw.adcMissing = 0;
  return car;
}

function locked(): Car {
  const car = flowingCar(SETTINGS);
  shortDriver(car);
  next(car);
  return car;
}

/** A car in a mode, reached from the start. */
const IN: Readonly<Record<Mode, () => Car>> = {
  off: () => standingCar(SETTINGS),
  arming,
  armed: () => arm(standingCar(SETTINGS)),
  flowing: () => flowingCar(SETTINGS),
  tripped,
  locked,
  service: () => {
    const car = standingCar(SETTINGS);
    ask(car, 1);
    return car;
  },
};

/** Asks for service, or ends it; the mode shows in the tick after. */
function ask(car: Car, on: number): void {
  try {
    new Device(car.rig).ask("service", { on });
  } finally {
    car.tick();
  }
}

function shortDriver(car: Car): void {
  car.wiring.stuckDrainsMv.set(0, 0);
}

/** How the cause of each transition comes about, whatever the mode. */
const CAUSES: Readonly<Record<string, (car: Car) => void>> = {
  "switched-on": switchOn,
  tested: () => {},
  opened: (car) => car.set("throttle", true),
  shut: (car) => car.set("throttle", false),
  "switched-off": (car) => car.set("arm", false),
  tripped: (car) => {
    if (modeOf(car) !== "flowing") car.raw.adcMissing = 1;
  },
  released: (car) => car.set("arm", false),
  "locked-out": shortDriver,
  serviced: (car) => ask(car, 1),
  "service-ended": (car) => ask(car, 0),
};

const rows = TRANSITIONS.filter(({ name }) => name !== "still-locked").flatMap(({ name, from, to }) =>
  from.map((mode) => [name, mode, to] as const),
);

describe("the core goes", () => {
  test.each(rows)("by %s from %s to %s", (name, from, to) => {
    const car = IN[from]();
    expect(modeOf(car)).toBe(from);
    CAUSES[name]!(car);
    expect(modeOf(car) === from ? next(car) : modeOf(car)).toBe(to);
  });

  test("by still-locked from off to locked at a start, with what tripped before the reset", () => {
    const car = locked();
    const kept = car.rig.outputs.get("lockout");
    car.rig.boot.set("lockout", kept);
    car.rig.start(1);
    expect(kept).not.toBe(0);
    expect(modeOf(car)).toBe("locked");
  });

  test("nowhere by a cause that has no row for its mode", () => {
    const outcomes = MODES.flatMap((mode) =>
      ["serviced", "service-ended"].map((name) => {
        const car = IN[mode]();
        const known = TRANSITIONS.find((each) => each.name === name)!;
        try {
          CAUSES[name]!(car);
        } catch {
          // Refused: not at rest.
        }
        return [mode, name, modeOf(car) === (known.from.includes(mode) ? known.to : mode)];
      }),
    );
    expect(outcomes.filter(([, , right]) => !right)).toEqual([]);
  });
});

describe("the table", () => {
  const files = readdirSync("firmware/core").filter((file) => file.endsWith(".ts"));

  test("is all by which the core changes its mode", () => {
    const setting = files.filter((file) =>
      /state\.mode = (?!=)/.test(readFileSync(`firmware/core/${file}`, "utf8")),
    );
    expect(setting).toEqual(["transitions.ts"]);
  });

  test("is the picture's", () => {
    const picture = readFileSync("docs/pictures/modes.svg", "utf8");
    const ids = [...picture.matchAll(/ id="([a-z-]+)"/g)].map(([, id]) => id);
    const modes = MODES.map((mode) => `mode-${mode}`);
    const arrows = TRANSITIONS.flatMap((each) => pairsOf(each));
    expect(ids.filter((id) => id !== "head").sort()).toEqual([...modes, ...arrows].sort());
    for (const mode of MODES) expect(picture).toContain(`>${mode}</text>`);
  });
});
