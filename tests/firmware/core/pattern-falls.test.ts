// A share that falls while an on-run is under way, or while both valves stay open: what that on-run, and the first pulse after it, still make.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { openingUs } from "../../oracle/pulse-model.ts";
import { valve } from "../../support/any-valves.ts";
import { runs } from "../../support/effort.ts";
import { FlowBench, type FlowCase } from "../../support/flow-bench.ts";
import {
  falls,
  type OnRun,
  onRuns,
  PINS,
  periodUs,
  run,
  SETTLED_MS,
  see,
} from "../../support/share-falls.ts";

/** What `periods` says while both valves stay open. */
const OPEN = 4;
/** A fall is taken over within a turn of four stages, and not in the last 2 ms of a period. */
const TAKEN_US = 7000;
/** Rounding of times and shares, microseconds. */
const ROUNDING_US = 12;

const bench = new FlowBench();

const width = ({ from, to }: OnRun): number => to - from;

/** What flows by an on-run, by its valve's times, microseconds; the valve was shut before. */
function flowedUs({ nitrous, fuel }: FlowCase, pin: 0 | 1, onRun: OnRun): number {
  const its = [nitrous, fuel][pin]!;
  return width(onRun) - openingUs(its, bench.batteryMv) + its.closingUs;
}

describe("an on-run under way when its share falls", () => {
  test.prop([falls], runs(500))(
    "ends where the next period allows it, both valves by as much, and makes no less than the new share",
    (fall) => {
      const seen = see(bench, fall);
      fc.pre(seen !== undefined);
      const { before, underWay, fellUs, periods } = seen!;
      const less = PINS.map((pin) => width(before[pin]!) - width(underWay[pin]!));
      expect(Math.abs(less[0]! - less[1]!)).toBeLessThanOrEqual(ROUNDING_US);
      const us = periodUs(fall.flow);
      const asked = (fall.to / 1000) * periods * us;
      const made = PINS.map((pin) => flowedUs(fall.flow, pin, underWay[pin]!));
      const could = PINS.map((pin) => flowedUs(fall.flow, pin, before[pin]!));
      for (const pin of PINS)
        expect(made[pin]).toBeGreaterThanOrEqual(Math.min(asked, could[pin]!) - ROUNDING_US);
      const began = underWay[0]!.from;
      const next = began + Math.ceil((fellUs + TAKEN_US - began) / us) * us;
      if (Math.min(...underWay.map(({ to }) => to)) > next + ROUNDING_US)
        expect(Math.min(...made)).toBeLessThanOrEqual(asked + ROUNDING_US);
    },
  );
});

describe("an on-run over two of three periods, because one valve alone would be on in the third", () => {
  const PERIOD_MS = 25;
  const flow: FlowCase = {
    nitrous: valve([9500, 9500, 9500], 1600),
    fuel: valve([500, 500, 500], 10_450),
    ...{ frequencyHz: 40, batteryMv: 12_000, sharePermille: 900 },
  };
  /** Falls from 798 permille at any place of the pattern. Returns what each on-run of nitrous under way came to, and how old it was. */
  const fallTo = (to: number): { ageUs: number; widthUs: number }[] => {
    const bench = new FlowBench();
    const seen: { ageUs: number; widthUs: number }[] = [];
    for (let afterMs = 0; afterMs < 3 * PERIOD_MS; afterMs += 5) {
      bench.set(flow);
      bench.share = 798;
      const { edges } = run(bench, SETTLED_MS + afterMs);
      expect(bench.periods).toBe(3);
      const fellUs = bench.car.raw.nowUs;
      bench.share = to;
      edges.push(...run(bench, SETTLED_MS).edges);
      const one = onRuns(edges, 0).find((each) => each.from < fellUs && each.to > fellUs);
      if (one) seen.push({ ageUs: fellUs - one.from, widthUs: width(one) });
    }
    expect(seen.length).toBeGreaterThan(5);
    return seen;
  };

  test.each([797, 795, 790])("makes less than %i permille already, and stays as it is", (to) => {
    for (const { widthUs } of fallTo(to)) expect(widthUs).toBe(2000 * PERIOD_MS);
  });

  test("is shortened in its first period when the share falls to 400 permille", () => {
    const young = fallTo(400).filter(({ ageUs }) => ageUs < 1000 * PERIOD_MS - TAKEN_US);
    expect(young.length).toBeGreaterThan(2);
    for (const { widthUs } of young) expect(widthUs).toBeLessThan(1900 * PERIOD_MS);
  });
});

describe("the first pulse after both valves stayed open", () => {
  test.prop([falls], runs(200))(
    "makes the share without another opening time; fuel that came later than nitrous makes up for that",
    ({ flow, to, afterMs }) => {
      bench.set({ ...flow, sharePermille: 1000 });
      run(bench, SETTLED_MS + afterMs);
      expect(bench.periods).toBe(OPEN);
      bench.share = to;
      const { edges } = run(bench, SETTLED_MS);
      fc.pre(bench.periods === 1);
      const [nitrousUs, fuelUs] = [flow.nitrous, flow.fuel].map((each) => openingUs(each, bench.batteryMv));
      const owedUs = [0, Math.max(0, fuelUs! - nitrousUs!)];
      for (const pin of PINS) {
        const [fell, rose] = edges.filter((edge) => edge.pin === pin);
        expect([fell!.level, rose!.level]).toEqual([false, true]);
        const { closingUs } = [flow.nitrous, flow.fuel][pin]!;
        const flowed = periodUs(flow) - (rose!.us - fell!.us) + closingUs;
        const over = flowed - (to / 1000) * periodUs(flow) - owedUs[pin]!;
        expect(Math.abs(over)).toBeLessThanOrEqual(ROUNDING_US);
      }
    },
  );
});
