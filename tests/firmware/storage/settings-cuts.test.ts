// Power is cut in every flash operation of every course of saves, torn in many ways: old or new settings are whole, the
// core says which, it stays that way, and the next load works. HEADGATE_CASE reruns one case; CI runs the whole.
import { afterEach, describe, expect, test } from "vitest";
import { tearNumbers } from "../../support/failing-flash.ts";
import { StorageBench } from "./bench.ts";
import { caseId, runCut } from "./cut.ts";
import { type Point, pointsOf, prepare, SCENARIOS } from "./scenarios.ts";

/** How each operation is torn: in CI after every byte and in many random ways, elsewhere in a few of each. */
const TEARS = process.env.CI ? tearNumbers(1, 750) : tearNumbers(64, 12);
const wanted = process.env.HEADGATE_CASE;

const bench = new StorageBench();
let cases = 0;

function numbersFor(point: Point): readonly number[] {
  if (wanted === undefined) return TEARS;
  const [scenario, index, n] = wanted.split("/");
  return scenario === point.scenario.name && Number(index) === point.index ? [Number(n)] : [];
}

/** What went wrong, by case. */
function failuresAt(point: Point): string[] {
  const failures: string[] = [];
  for (const n of numbersFor(point)) {
    cases++;
    try {
      runCut(bench, point, n);
    } catch (thrown) {
      bench.flash.onOperation = undefined;
      failures.push(`HEADGATE_CASE=${caseId(point, n)}: ${String(thrown)}`);
    }
  }
  return failures;
}

describe("a cut in the middle of any flash operation", () => {
  afterEach((context) => {
    process.stdout.write(`${context.task.name}: ${cases} cuts\n`);
    cases = 0;
  });

  test.each(SCENARIOS.map((scenario) => [scenario.name, scenario] as const))("%s", (_, scenario) => {
    const points = pointsOf(bench, scenario);
    expect(points.length).toBeGreaterThan(5);
    prepare(bench, scenario);
    expect(points.flatMap(failuresAt)).toEqual([]);
  });
});
