// The retard request where a valve stays open for a period: full from its lead before that until it is over, and no longer.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { runs } from "../../support/effort.ts";
import { FlowBench } from "../../support/flow-bench.ts";
import {
  apartCases,
  falls,
  onRuns,
  PINS,
  periodUs,
  run,
  SETTLED_MS,
  see,
} from "../../support/share-falls.ts";

/** Whole flow, permille, and the retard for it. */
const [FULL, FULL_DEG] = [1000, 100];
const LEAD_MS = 100;
/** A lead is kept in slots of 8 ms, and a stage has its turn every fourth tick. */
const SLACK_MS = 16;
/** Less than any of these valves make. */
const TOO_LITTLE = 10;

function benchWith(leadMs: number): FlowBench {
  return new FlowBench((s) => {
    s.retard = {
      fullSignalDeciDeg: 200,
      leadMs,
      table: [
        { flowPermille: 0, angleDeciDeg: 0 },
        { flowPermille: FULL, angleDeciDeg: FULL_DEG },
      ],
    };
  });
}

describe("the retard request without a lead, when a share falls", () => {
  const bench = benchWith(0);

  test.prop([falls], runs(400))(
    "stays the full one until the period is over in which a valve of a pattern stays open",
    (fall) => {
      const seen = see(bench, fall);
      fc.pre(seen !== undefined);
      const us = periodUs(fall.flow);
      for (const { from, to } of seen!.underWay) {
        const until = from + Math.floor((to - from) / us) * us;
        const meanwhile = seen!.retards.filter((each) => each.us > from && each.us <= until);
        for (const { deciDeg } of meanwhile) expect(deciDeg).toBe(FULL_DEG);
      }
    },
  );

  test.prop([falls], runs(50))("is that of the share where that is too little for any flow", ({ flow }) => {
    bench.set(flow);
    run(bench, SETTLED_MS);
    bench.share = TOO_LITTLE;
    const { retards } = run(bench, SETTLED_MS);
    expect(bench.periods).toBe(0);
    expect(retards.at(-1)!.deciDeg).toBe((TOO_LITTLE / FULL) * FULL_DEG);
  });
});

describe("the retard request with a lead", () => {
  const bench = benchWith(LEAD_MS);

  test.prop([apartCases], runs(200))(
    "has been the full one for its lead when a valve first stays open for a period, be it one of two alone",
    (flow) => {
      bench.set({ ...flow, sharePermille: 0 });
      run(bench, SETTLED_MS);
      bench.share = flow.sharePermille;
      const { edges, retards } = run(bench, LEAD_MS + SETTLED_MS);
      const held = PINS.flatMap((pin) =>
        onRuns(edges, pin).filter(({ from, to }) => to - from >= periodUs(flow)),
      );
      fc.pre(held.length > 0);
      const first = Math.min(...held.map(({ from }) => from));
      const before = retards.filter(({ us }) => us <= first && us > first - 1000 * (LEAD_MS - SLACK_MS));
      expect(before.length).toBeGreaterThan(0);
      for (const { deciDeg } of before) expect(deciDeg).toBe(FULL_DEG);
    },
  );
});
