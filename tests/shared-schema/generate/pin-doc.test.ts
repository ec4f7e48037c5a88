// The pin map tells every header pin once, and the budget in it adds up.
import { test } from "@fast-check/vitest";
import { expect } from "vitest";
import { pinDoc, sliceOf } from "#shared-schema/generate/pin-doc.ts";
import { FIRST_SOLENOID_GPIO, PINS, STAGES } from "#shared-schema/model/pins.ts";
import { tableRows } from "../../support/markdown.ts";

const page = pinDoc();
const cells = tableRows(page).filter((row) => /^GP\d/.test(row[0]!));
// Header positions of a Pico-class board that carry no GPIO: grounds, supplies, RUN (from memory).
const NOT_GPIO = [3, 8, 13, 18, 23, 28, 30, 33, 35, 36, 37, 38, 39, 40];

test("26 rows, one for each header GPIO of a Pico-class board", () => {
  const header = [...Array.from({ length: 23 }, (_, gpio) => gpio), 26, 27, 28];
  expect(cells.map((row) => row[0])).toEqual(header.map((gpio) => `GP${gpio}`));
  expect(PINS.map((pin) => pin.gpio)).toEqual(header);
});

test("no two pins share a header position, none sits on a ground or supply", () => {
  const positions = cells.map((row) => Number(row[1]));
  expect([...positions, ...NOT_GPIO].sort((a, b) => a - b)).toEqual(
    Array.from({ length: 40 }, (_, i) => i + 1),
  );
});

test("both pins of a stage lie on one slice, and no slice channel in use serves two pins", () => {
  for (let stage = 0; stage < STAGES; stage++) {
    const gpio = FIRST_SOLENOID_GPIO + 2 * stage;
    expect([sliceOf(gpio), sliceOf(gpio + 1)]).toEqual([`${4 + stage} A`, `${4 + stage} B`]);
  }
  const inUse = cells.map((row) => row[5]!).filter((slice) => slice.startsWith("**"));
  expect(new Set(inUse).size).toBe(2 * STAGES + 1);
  for (const { gpio, meaning } of PINS) {
    const said = /PWM slice (\d [AB])/.exec(meaning);
    if (said) expect(said[1]).toBe(sliceOf(gpio));
  }
});

test("every output that moves something idles low and has a pull-down of its own", () => {
  const moving = cells.filter((row) => /solenoid|valve|heater|keepAlive|stageActive|retard/.test(row[2]!));
  for (const row of cells.filter((r) => r[7]!.includes("driver"))) {
    expect(row[4]).toBe("low");
    expect(row[7]).toContain("pull-down");
  }
  expect(moving.every((row) => row[4] === "low")).toBe(true);
});
