// `headgate watch`: lines in a pipe, one JSON document a line, a screen redrawn on a terminal; and what a trip's value means.
import { describe, expect, test } from "vitest";
import { tripValueText } from "#host/report/terminal/trip-text.ts";
import { INTERLOCKS, interlockNumber } from "#shared-schema/model/interlocks.ts";
import { World } from "../world.ts";

const ESCAPE = String.fromCharCode(27);

describe("watch", () => {
  test("prints a line for each look in a pipe", async () => {
    const ran = await new World().run("watch", "--rate", "4", "--seconds", "1");
    expect(ran.exit).toBe(0);
    const lines = ran.stdout.trim().split("\n");
    expect(lines.length).toBeGreaterThanOrEqual(3);
    for (const line of lines) expect(line).toMatch(/^\d+\.\d\d s; \w+; nothing flows; held off by /);
  });

  test("prints JSON Lines with causes and remedies in words", async () => {
    const ran = await new World().run("watch", "--rate", "2", "--seconds", "1", "--json");
    const moments = ran.stdout
      .trim()
      .split("\n")
      .map((line) => JSON.parse(line) as Record<string, unknown>);
    expect(moments.length).toBeGreaterThanOrEqual(2);
    for (const moment of moments)
      expect(Object.keys(moment)).toEqual(expect.arrayContaining(["seconds", "mode", "reasons", "values"]));
  });

  test("a failure is one JSON document in one line too", async () => {
    const made = new World();
    made.ports = [];
    const { exit, stdout } = await made.run("watch", "--json");
    expect([exit, stdout.split("\n").length]).toEqual([69, 2]);
    expect(JSON.parse(stdout)).toMatchObject({ command: "watch", ok: false, error: { code: "no-port" } });
  });

  test.each([
    ["watch", "--bogus", "--json"],
    ["watch", "--port", "practice", "--json"],
    ["check", "nowhere.yaml", "--watch", "--bogus", "--json"],
  ])("and so is a mistake before it begins: %s %s", async (...args) => {
    const { exit, stdout } = await new World().run(...args);
    expect(exit).toBeGreaterThan(0);
    expect(stdout.trimEnd().split("\n")).toHaveLength(1);
    expect(JSON.parse(stdout)).toMatchObject({ ok: false });
  });

  test("redraws a terminal in place, within its width", async () => {
    const world = new World();
    world.terminal = true;
    world.columns = 60;
    const { stdout } = await world.run("watch", "--rate", "2", "--seconds", "1");
    const screens = stdout.split(ESCAPE);
    expect(screens.filter((part) => /^\[\d+A$/.test(part)).length).toBeGreaterThanOrEqual(1);
    for (const line of screens.flatMap((part) => part.replace(/^\[\d*[AJ]/, "").split("\n")))
      expect(line.length).toBeLessThanOrEqual(60);
  });
});

describe("the value of a trip", () => {
  const cases = [
    ["RPM-JUMP", 9200, "9200 rpm"],
    ["OVERBOOST", 1532, "153.2 kPa absolute"],
    ["LEAN", 940, "0.94 lambda"],
    ["BOTTLE-LOW", 6167, "6167 kPa gauge"],
    ["BATT-LOW", 10_900, "10.9 V"],
    ["DRIVER", (3 << 8) | 2, "nitrous2 has no load"],
    ["ADC", 1 << 9, "missing: B fuel1"],
    ["SENSOR", (1 << 2) | (25 << 16), "bottle sensor at 31 mV"],
    ["SENSOR", (1 << 0) | (1 << 6) | (4095 << 16), "throttle sensor at 4999 mV, coolant sensor"],
  ] as const;

  test.each(cases)("%s %i is told as %j", (id, value, text) => {
    expect(tripValueText(interlockNumber(id), value)).toBe(text);
  });

  test("is told for every row that trips, be it only when it lasts or comes again", () => {
    const trips = INTERLOCKS.filter(({ reaction, lasting }) => [reaction, lasting].includes("trip"));
    expect(trips.length).toBeGreaterThan(10);
    const untold = trips.filter(({ id }) => tripValueText(interlockNumber(id), (600 << 16) | 4) === "");
    expect(untold.map(({ id }) => id)).toEqual([]);
  });
});
