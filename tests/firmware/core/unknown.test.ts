// What no table has never counts as the last thing that it has: the core traps, and a trap switches everything off and restarts the chip.
import { describe, expect, test } from "vitest";
import { MODES } from "#shared-schema/model/interlocks.ts";
import { AFTER_LIFT } from "#shared-schema/settings/choices.ts";
import { type Document, pack, toBytes } from "#shared-schema/settings/pack.ts";
import { WORDS } from "#shared-schema/settings/words.ts";
import { stateWord } from "../../exploration/core-map.ts";
import type { Car } from "../../oracle/car.ts";
import { flowingCar, OFF_TICKS, smallSettings, standingCar, TURN_TICKS, ticks } from "../../oracle/stand.ts";

const wordsOf = (car: Car): Uint32Array => new Uint32Array(car.rig.core.memory.buffer);
const NONE_KNOWN = 99;

describe("the core traps on", () => {
  test("a mode that it does not know", () => {
    const car = standingCar(smallSettings());
    car.set("arm", true);
    wordsOf(car)[stateWord("mode")] = MODES.length;
    expect(() => ticks(car, TURN_TICKS)).toThrow("unreachable");
  });

  test.each(["armStep", "keepAlive"])("an unknown value of %s while it arms", (word) => {
    const car = standingCar(smallSettings());
    car.set("arm", false);
    ticks(car, OFF_TICKS);
    car.set("arm", true);
    ticks(car, 10);
    wordsOf(car)[stateWord(word)] = NONE_KNOWN;
    expect(() => ticks(car, 1)).toThrow("unreachable");
  });

  test("an unknown way to go on after a lift", () => {
    const settings = smallSettings();
    const bytes = toBytes(pack(settings as unknown as Document));
    const car = flowingCar(settings);
    const memory = Buffer.from(car.rig.core.memory.buffer);
    const at = 2 * WORDS.findIndex(({ path }) => path === "flow.afterLift");
    for (let block = memory.indexOf(bytes); block >= 0; block = memory.indexOf(bytes, block + 1))
      memory[block + at] = AFTER_LIFT.length;
    car.set("throttle", false);
    ticks(car, 20);
    car.set("throttle", true);
    expect(() => ticks(car, 100)).toThrow("unreachable");
  });
});
