// Stands in for the test runner: collects the tests of the files it is bundled with, to be run again and again without it.
import { workerData } from "node:worker_threads";
import fc from "fast-check";
import { expect } from "vitest";

type Hook = (context: TestContext) => unknown;
type Body = (...args: never[]) => unknown;

/** What tests ask of the runner while they run. */
interface TestContext {
  readonly task: { readonly name: string };
}

/** A collected test. */
export interface Collected {
  readonly name: string;
  /** A property of which only a part of the runs is made. */
  readonly fewerRuns: boolean;
  run(): Promise<void>;
}

interface Scope {
  readonly name: string;
  readonly before: Hook[];
  readonly after: Hook[];
}

/** All tests, in the order of their files. */
export const collected: Collected[] = [];
const scopes: Scope[] = [{ name: "", before: [], after: [] }];

function titled(name: string, row: readonly unknown[]): string {
  let at = 0;
  return name.replace(/%[sdiojf]/g, () => String(row[at++]));
}

async function call(scoped: readonly Scope[], name: string, body: () => unknown): Promise<void> {
  const context: TestContext = { task: { name } };
  for (const scope of scoped) for (const hook of scope.before) await hook(context);
  try {
    await body();
  } finally {
    for (const scope of scoped) for (const hook of scope.after) await hook(context);
  }
}

function add(name: string, body: () => unknown, fewerRuns = false): void {
  const scoped = [...scopes];
  const path = [...scoped.map((scope) => scope.name), name].filter((part) => part !== "").join(" > ");
  collected.push({ name: path, fewerRuns, run: () => call(scoped, name, body) });
}

function within(name: string, body: () => void): void {
  scopes.push({ name, before: [], after: [] });
  body();
  scopes.pop();
}

const here = (): Scope => scopes[scopes.length - 1]!;

type Declare = (name: string, body: (...args: unknown[]) => unknown) => void;

/** The form with one test or group for each row of a list. */
function each(declare: Declare): (rows: readonly unknown[]) => (name: string, body: Body) => void {
  return (rows) => (name, body) => {
    for (const row of rows) {
      const args = Array.isArray(row) ? row : [row];
      declare(titled(name, args), () => (body as (...args: unknown[]) => unknown)(...args));
    }
  };
}

/** The part of a property's runs that is made: most mistakes show in the first few. */
const { runsShare } = workerData as { runsShare: number };
const USUAL_RUNS = 100;

/** The form with a property. A counterexample is not made smaller: that it exists is enough. */
function prop(arbitraries: readonly fc.Arbitrary<unknown>[], parameters: fc.Parameters<unknown> = {}) {
  const allRuns = parameters.numRuns ?? USUAL_RUNS;
  const numRuns = Math.ceil(allRuns * runsShare);
  return (name: string, body: Body): void => {
    const run = () =>
      fc.assert(
        fc.asyncProperty(...(arbitraries as [fc.Arbitrary<unknown>]), async (...args) => {
          await (body as (...args: unknown[]) => unknown)(...args);
        }),
        { ...parameters, numRuns, endOnFailure: true } as fc.Parameters<[unknown]>,
      );
    add(name, run, numRuns < allRuns);
  };
}

export const test = Object.assign((name: string, body: Body) => add(name, body as () => unknown), {
  each: each((name, body) => add(name, body)),
  prop,
});
export const describe = Object.assign((name: string, body: () => void) => within(name, body), {
  each: each((name, body) => within(name, body as () => void)),
});
export const beforeEach = (hook: Hook): void => void here().before.push(hook);
export const afterEach = (hook: Hook): void => void here().after.push(hook);
/** What comes once, at the end of a file, only prints counts: it is left out. */
export const afterAll = (_hook: Hook): void => {};
export { expect, fc };
