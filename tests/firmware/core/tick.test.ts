// The tick under any inputs: it never traps, never runs away, and an arm switch that is off leads to off.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { INPUTS, OUTPUTS } from "#shared-schema/model/blocks.ts";
import { MODES } from "#shared-schema/model/interlocks.ts";
import { blockBytes } from "#shared-schema/model/layout.ts";
import type { Car } from "../../oracle/car.ts";
import { Device } from "../../oracle/device.ts";
import { rightDocument } from "../../oracle/right-documents.ts";
import {
  flowingCar,
  fullSettings,
  isFed,
  modeOf,
  smallSettings,
  standingCar,
  ticks,
} from "../../oracle/stand.ts";
import { freshCore } from "../../support/core.ts";
import { runs } from "../../support/effort.ts";
import { Random } from "../../support/random.ts";

const seed = fc.integer({ min: 1, max: 2 ** 31 - 1 });
const PERIOD_MOST = 62_500;
const OFF_TICKS = 5;

/** Fills Inputs with bytes: any, or a few changes of what was there. */
function scramble(random: Random, view: Uint8Array): void {
  if (random.oneIn(3)) for (let i = 0; i < view.length; i++) view[i] = random.below(256);
  else
    for (let i = random.between(1, 8); i > 0; i--)
      view[random.below(view.length)] = random.pick([0, 255, random.below(256)]);
}

function outputsMakeSense(car: Pick<Car, "rig">): boolean {
  const { outputs, live } = car.rig;
  const top = outputs.get("top");
  const pulses = [0, 1, 2, 3, 4, 5, 6, 7].map((i) => outputs.get("pulse", i));
  return pulses.every((width) => width <= top + 1) && live.get("mode") < MODES.length && top <= 0xffff;
}

describe("any inputs", () => {
  test.prop([seed], runs(60))("never trap, and never command more than a whole period", (s) => {
    const random = new Random(s);
    const rig = freshCore();
    rig.start();
    if (!random.oneIn(8)) new Device(rig).store(rightDocument(random).words);
    const inputs = new Uint8Array(rig.core.memory.buffer, INPUTS.address, blockBytes(INPUTS));
    for (let i = 0; i < 1000; i++) {
      scramble(random, inputs);
      rig.core.tick(random.oneIn(4) ? random.below(2 ** 31) * 2 : i * 1000);
      if (!outputsMakeSense({ rig })) expect(rig.outputs.get("pulse")).toBeLessThanOrEqual(PERIOD_MOST);
    }
    expect(outputsMakeSense({ rig })).toBe(true);
  });

  test.prop([seed], runs(60))(
    "leave a core that 5 ms of arm switch off bring to off, tripped or locked, with all pins low",
    (s) => {
      const random = new Random(s);
      const car = random.oneIn(2) ? flowingCar(smallSettings()) : standingCar(fullSettings());
      const inputs = new Uint8Array(car.rig.core.memory.buffer, INPUTS.address, blockBytes(INPUTS));
      for (let i = random.between(0, 100); i > 0; i--) {
        scramble(random, inputs);
        car.rig.core.tick(random.below(2 ** 31));
      }
      car.set("arm", false);
      car.tick();
      expect(isFed(car)).toBe(false);
      ticks(car, OFF_TICKS);
      expect(["off", "tripped", "locked"]).toContain(modeOf(car));
      expect(isFed(car)).toBe(false);
    },
  );

  test("no settings, no outputs", () => {
    const rig = freshCore();
    rig.start();
    const outputs = new Uint8Array(rig.core.memory.buffer, OUTPUTS.address, 16);
    for (let i = 0; i < 300; i++) rig.core.tick(i * 1000);
    expect([...outputs]).toEqual(new Array(16).fill(0));
  });
});

describe("the clock", () => {
  const starts = [1_000_000, 2 ** 31 - 300_000, 2 ** 32 - 300_000, 2 ** 32 - 1, 5 * 2 ** 32 + 123];

  test("nothing depends on where it stands: the same run gives the same outputs", () => {
    const runs = starts.map((start) => {
      const car = flowingCar(smallSettings(), {}, start);
      const seen: string[] = [];
      for (let i = 0; i < 1500; i++) {
        if (i === 700) car.set("throttle", false);
        if (i === 760) car.set("throttle", true);
        car.tick();
        seen.push(`${car.pins()} ${car.mode} ${car.reasons} ${car.sharePermille(0)}`);
      }
      return seen;
    });
    for (const run of runs) expect(run).toEqual(runs[0]);
  });

  test("a pulse of one round of the clock ago is not a new one", () => {
    const car = flowingCar(smallSettings());
    car.engineWireCut = true;
    ticks(car, 1100);
    ticks(car, 8, 2 ** 29);
    car.spuriousPulse(car.raw.nowUs - 10);
    car.tick();
    expect(car.rig.live.get("engineRpm")).toBe(0);
  });

  test.prop([fc.integer({ min: 1, max: 100 })], runs(20))("wraps of counters leave flow alone", (before) => {
    const car = flowingCar(smallSettings());
    car.raw.engine.count = 2 ** 32 - before;
    car.raw.road.count = 2 ** 32 - before;
    car.raw.adcRounds = 2 ** 16 - before;
    ticks(car, 2000);
    expect(car.trip).toBe(255);
    expect(isFed(car)).toBe(true);
  });
});
