// Sensors that are measured in turns: one bad sample is one, whichever turn it falls in; what stays bad trips in its time.
import { describe, expect, test } from "vitest";
import { tripValueText } from "#host/report/terminal/trip-text.ts";
import { interlockNumber } from "#shared-schema/model/interlocks.ts";
import { ADC_A } from "#shared-schema/model/pins.ts";
import { flowingCar, modeOf, TURN_TICKS, ticks } from "../../oracle/stand.ts";
import { catalogueTicks, NONE, withPart } from "./interlock-moves.ts";

const SLOW = ["bottle", "fuel", "lambda", "coolant"] as const;
const TURNS = [0, 1, 2, 3];
/** Bad samples in ticks that follow each other after which it trips. */
const TOO_MANY = 3;

describe.each(SLOW)("%s", (name) => {
  const channel = ADC_A.indexOf(name);

  test.each(TURNS)("bad for two ticks is no fault, in turn %i", (turn) => {
    const car = flowingCar(withPart(name));
    ticks(car, 100 + turn);
    for (let n = 0; n < 20; n++) {
      car.stuckCodes.set(channel, 0);
      ticks(car, TOO_MANY - 1);
      car.stuckCodes.clear();
      ticks(car, 2 * TURN_TICKS);
    }
    expect(car.trip).toBe(NONE);
  });

  test.each(TURNS)("bad for longer than its time trips within it, in turn %i", (turn) => {
    const car = flowingCar(withPart(name));
    ticks(car, 100 + turn);
    car.stuckCodes.set(channel, 0);
    let took = 0;
    while (modeOf(car) !== "tripped" && took < 50) {
      car.tick();
      took++;
    }
    expect(car.trip).toBe(interlockNumber("SENSOR"));
    expect(took).toBeLessThanOrEqual(catalogueTicks("SENSOR"));
    expect(took).toBeGreaterThanOrEqual(TOO_MANY);
  });

  test("a trip names it, and what its wire showed", () => {
    const car = flowingCar(withPart(name));
    ticks(car, 100);
    car.stuckCodes.set(channel, 25);
    ticks(car, catalogueTicks("SENSOR"));
    expect(car.trip).toBe(interlockNumber("SENSOR"));
    expect(tripValueText(car.trip, car.rig.live.get("tripValue"))).toBe(`${name} sensor at 31 mV`);
  });

  test("where its converter has just died, ADC says which channels are missing", () => {
    const car = flowingCar(withPart(name));
    ticks(car, 100);
    car.stuckCodes.set(channel, 0);
    ticks(car, TOO_MANY - 1);
    car.raw.adcMissing = 0xff;
    ticks(car, TOO_MANY);
    expect(car.trip).toBe(interlockNumber("ADC"));
    expect(tripValueText(car.trip, car.rig.live.get("tripValue"))).toBe("8 channels missing");
  });
});
