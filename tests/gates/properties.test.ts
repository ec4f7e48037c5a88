// Plain tests run once, properties as often as they say; one that says nothing, a quarter as often on any day.
import { fc, test } from "@fast-check/vitest";
import { afterAll, expect } from "vitest";
import { ALL_RUNS } from "../support/effort.ts";

const runs = { plain: 0, silent: 0, told: 0 };

test("a plain test", () => {
  runs.plain++;
});
test.prop([fc.integer()])("a property that names no number", () => {
  runs.silent++;
});
test.prop([fc.integer()], { numRuns: 7 })("a property that names one", () => {
  runs.told++;
});

afterAll(() => {
  expect(runs).toEqual({ plain: 1, silent: ALL_RUNS ? 100 : 25, told: 7 });
});
