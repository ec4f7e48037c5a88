// Loads @fast-check/vitest in a hundredth of its time: it would make `test` anew for every order of every set of modifiers.
import { TestRunner } from "vitest";

type Collector = ReturnType<typeof TestRunner.createTaskCollector>;
type Keys = Record<string, unknown>;
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
await import("@fast-check/vitest");
TestRunner.createTaskCollector = createTaskCollector;
