// A launch as a script: the launch switch says go as the settings have it, and the car goes with it or late.
import { describe, expect, test } from "vitest";
import { GO_S, launchScript, ScriptReader } from "#host/bench/loop/script.ts";

const at = (settings: object, s: number, edges = {}) => {
  const reader = new ScriptReader(launchScript(settings as never, edges));
  reader.moveTo(s);
  return reader.controls;
};

describe.each([
  ["press", false, true],
  ["release", true, false],
])("a launch that starts at %s", (startsAt, staged, gone) => {
  const settings = { launch: { startsAt } };

  test("moves its switch when the car goes", () => {
    expect(at(settings, GO_S - 0.01)).toMatchObject({ launch: staged, hold: true, pedal: 1, arm: true });
    expect(at(settings, GO_S)).toMatchObject({ launch: gone, hold: false });
  });

  test("late: the switch moves, and the car goes after it", () => {
    expect(at(settings, GO_S + 0.1, { lateS: 0.3 })).toMatchObject({ launch: gone, hold: true });
    expect(at(settings, GO_S + 0.3, { lateS: 0.3 })).toMatchObject({ launch: gone, hold: false });
  });
});

test("a lift comes when it is asked for, and ends", () => {
  expect(at({}, GO_S + 3, { liftS: 3 }).pedal).toBe(0);
  expect(at({}, GO_S + 3.7, { liftS: 3 }).pedal).toBe(1);
  expect(at({}, GO_S + 3).pedal).toBe(1);
});
