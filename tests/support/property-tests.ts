// Loads @fast-check/vitest in a hundredth of its time: it would make `test` anew for every order of every set of modifiers. Properties make fewer runs on any day.
import { TestRunner } from "vitest";
import { ALL_RUNS } from "./effort.ts";

type Collector = ReturnType<typeof TestRunner.createTaskCollector>;
type Keys = Record<string, unknown>;
/** Runs of a property that names no number: as many as fast-check makes by itself in CI. Plain tests would repeat a number set for all. */
const RUNS = { numRuns: ALL_RUNS ? 100 : 25 };
/** Modifiers that a property may have: `test.only.prop`. */
const WITH_PROPERTIES = ["only", "skip"];

const functionsOf = (of: object): [string, Keys][] =>
  Object.getOwnPropertyNames(of).flatMap((key) => {
    const value = (of as Keys)[key];
    return typeof value === "function" ? [[key, value as unknown as Keys] as [string, Keys]] : [];
  });

/** The collector with its modifiers, but without theirs. */
function flat(collector: Collector): Collector {
  const call = (to: unknown) =>
    ((...args: unknown[]) => (to as (...args: unknown[]) => unknown)(...args)) as unknown as Keys;
  const modified = functionsOf(collector).map(([key, value]) => {
    const made = call(value);
    if (WITH_PROPERTIES.includes(key)) made.each = value.each;
    return [key, made];
  });
  return Object.assign(call(collector), Object.fromEntries(modified)) as unknown as Collector;
}

const { createTaskCollector } = TestRunner;
TestRunner.createTaskCollector = (...args) => flat(createTaskCollector(...args));
const { test } = await import("@fast-check/vitest");
TestRunner.createTaskCollector = createTaskCollector;
const WITH_RUNS = Symbol.for("headgate runs");

/** Gives `prop` its number, once however often this file is run in a process. */
function giveRuns(to: { prop: unknown }): void {
  const prop = to.prop as ((...args: unknown[]) => unknown) & { [WITH_RUNS]?: true };
  if (prop[WITH_RUNS]) return;
  const less = (arbitraries: unknown, params?: object) => prop(arbitraries, { ...RUNS, ...params });
  to.prop = Object.assign(less, { [WITH_RUNS]: true });
}
giveRuns(test);
