// How many periods a share is made in, when that changes, and what the valves make meanwhile: by the valves' times alone.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { Mixture } from "../../oracle/mixture.ts";
import { longestPattern, openingUs } from "../../oracle/pulse-model.ts";
import { batteryMv } from "../../oracle/raw.ts";
import { smallSettings } from "../../oracle/stand.ts";
import { anyCase, valve } from "../../support/any-valves.ts";
import { runs } from "../../support/effort.ts";
import { FlowBench, type FlowCase } from "../../support/flow-bench.ts";
import { Random } from "../../support/random.ts";

/** What `periods` says while both valves stay open. */
const OPEN = 4;
/** Longer than two turns of four stages, and than any pattern: what was asked for is what is made. */
const SETTLED_MS = 400;
/** Any valve has shut. */
const SHUT_MS = 150;
/** Rounding of times and shares, of a whole pattern. */
const NEAR = 0.0004;
/** A kind is left for one that could do as well only when that has this part of a period to spare, and a shut stage opens with this. */
const [KEPT, ENTRY] = [1 / 32, 1 / 128];

const bench = new FlowBench();
const cases = fc.integer({ min: 1, max: 2 ** 31 - 1 }).map((seed) => anyCase(new Random(seed)));

function run(ms: number): void {
  for (let i = 0; i < ms; i++) bench.car.tick();
}

/** Periods that a share is made in once it is settled. */
function periodsAt(sharePermille: number): number {
  bench.share = sharePermille;
  bench.rest();
  run(SETTLED_MS);
  return bench.periods;
}

/** Puts a case into force with its stage shut. */
function shut(flow: FlowCase): void {
  bench.set({ ...flow, sharePermille: 0 });
  run(SHUT_MS);
}

/** What two valves can do, as parts of a period. */
interface Parts {
  readonly most: number;
  readonly closing: number;
  readonly slower: number;
  readonly quicker: number;
}

function partsOf({ nitrous, fuel, frequencyHz }: FlowCase): Parts {
  const part = (us: number): number => (us * frequencyHz) / 1e6;
  const openings = [nitrous, fuel].map((solenoid) => openingUs(solenoid, bench.batteryMv));
  return {
    most: longestPattern(frequencyHz),
    closing: part(Math.max(nitrous.closingUs, fuel.closingUs)),
    slower: part(Math.max(...openings)),
    quicker: part(Math.min(...openings)),
  };
}

/** Periods in which a stage that was shut makes a share; undefined where rounding decides. */
function expected(share: number, { most, closing, slower, quicker }: Parts): number | undefined {
  const isNear = (a: number, b: number): boolean => Math.abs(a - b) < 3 * NEAR * most;
  if (isNear(most * share, closing + ENTRY) || isNear(most * share + quicker, most)) return undefined;
  if (most * share < closing + ENTRY) return 0;
  if (most * share + quicker > most) return OPEN;
  for (let n = 1; n < most; n++) {
    if (isNear(n * share, closing) || isNear(n * share + slower, n)) return undefined;
    if (n * share > closing && n * share + slower < n) return n;
  }
  return most;
}

describe("a share", () => {
  test.prop([cases], runs(400))(
    "is made in the fewest periods in which both valves can open and shut, or with both open, or not at all",
    (flow) => {
      shut(flow);
      const share = flow.sharePermille / 1000;
      const periods = periodsAt(flow.sharePermille);
      const parts = partsOf(flow);
      expect(periods).toBe(expected(share, parts) ?? periods);
      const { nitrous, fuel } = bench.make(flow);
      if (periods === 0) expect([nitrous, fuel]).toEqual([0, 0]);
      else if (periods === OPEN) expect([nitrous, fuel]).toEqual([1, 1]);
      else {
        const most = 1 - parts.slower / periods;
        expect(nitrous).toBeLessThan(Math.min(share, most) + NEAR);
        expect(fuel).toBeGreaterThan(nitrous - NEAR);
        if (periods === 1) expect(nitrous).toBeGreaterThan(Math.min(share, most) - NEAR);
      }
    },
  );
});

describe("a share at what a pulse in each period just makes, or just not", () => {
  test.each([200, 250, 300])("is made all the same: %i permille", (sharePermille) => {
    const HZ = 20;
    const leastUs = (sharePermille * 1000) / HZ;
    for (let closingUs = leastUs - 20; closingUs <= leastUs + 20; closingUs++) {
      const each = valve([11_000, 11_000, 11_000], closingUs);
      const flow = { nitrous: each, fuel: each, frequencyHz: HZ, batteryMv: 12_000, sharePermille };
      shut(flow);
      periodsAt(sharePermille);
      const { nitrous } = bench.make(flow);
      expect(Math.abs(nitrous - sharePermille / 1000), `${closingUs} us to close`).toBeLessThan(NEAR);
    }
  });
});

test.each([
  [12_493, 1],
  [12_500, 0],
])(
  "a share that flows for 12.5 ms of 125 is made by valves that close in %i us in %i periods",
  (closingUs, periods) => {
    const each = valve([11_000, 11_000, 11_000], closingUs);
    bench.set({ nitrous: each, fuel: each, frequencyHz: 8, batteryMv: 12_000, sharePermille: 500 });
    expect(bench.periods).toBe(1);
    expect(periodsAt(100)).toBe(periods);
  },
);

describe("the number of periods", () => {
  /** A share, permille, `ofPeriod` beside a limit, both as parts of a period, in a pattern of so many. */
  const beside = (limit: number, ofPeriod: number, periods: number): number =>
    Math.round((1000 * (limit + ofPeriod)) / periods);
  /** Half of what a kind is kept for. */
  const HALF = KEPT / 2;

  test.prop([cases], runs(150))(
    "rises where the valves can no longer shut, and falls again only with a thirty-second of a period to spare",
    (flow) => {
      shut(flow);
      const parts = partsOf(flow);
      const most = parts.most;
      for (let n = 1; n < most; n++) {
        const limit = n - parts.slower;
        if (beside(limit, KEPT + HALF, n) >= 1000 || limit - KEPT - HALF < parts.closing) continue;
        const up = periodsAt(beside(limit, HALF, n));
        if (up <= n || periodsAt(beside(limit, -KEPT - HALF, n)) > n) continue;
        expect(periodsAt(beside(limit, HALF, n))).toBe(up);
        expect(periodsAt(beside(limit, -HALF, n))).toBeGreaterThan(n);
        expect(periodsAt(beside(limit, -KEPT - HALF, n))).toBeLessThanOrEqual(n);
        expect(periodsAt(beside(limit, -HALF, n))).toBeLessThanOrEqual(n);
      }
    },
  );

  test.prop([cases], runs(150))(
    "is that of open valves where they could not shut, until a thirty-second of a period is to spare",
    (flow) => {
      shut(flow);
      const { most, quicker } = partsOf(flow);
      const limit = most - quicker;
      fc.pre(quicker > HALF + 0.02);
      expect(periodsAt(beside(limit, -HALF, most))).not.toBe(OPEN);
      expect(periodsAt(beside(limit, HALF / 2, most))).toBe(OPEN);
      expect(periodsAt(beside(limit, -HALF, most))).toBe(OPEN);
      expect(periodsAt(beside(limit, -KEPT - HALF, most))).not.toBe(OPEN);
    },
  );

  test.prop([cases], runs(150))(
    "is none where the valves could not open, and a shut stage waits for a hundred-and-twenty-eighth of a period more",
    (flow) => {
      shut(flow);
      const { most, closing, quicker } = partsOf(flow);
      const [below, between, above] = [-0.003 * most, ENTRY / 2, ENTRY + 0.003 * most];
      fc.pre(closing + above + quicker + KEPT < most && ENTRY / 2 > 0.7 * 0.001 * most);
      expect(periodsAt(beside(closing, between, most))).toBe(0);
      expect(periodsAt(beside(closing, above, most))).toBeGreaterThan(0);
      expect(periodsAt(beside(closing, between, most))).toBeGreaterThan(0);
      expect(periodsAt(beside(closing, below, most))).toBe(0);
    },
  );
});

describe("a share that moves about", () => {
  const moves = fc.array(
    fc.record({
      share: fc.oneof(fc.integer({ min: 0, max: 1000 }), fc.constantFrom(0, 60, 850, 950, 1000)),
      ms: fc.integer({ min: 1, max: 300 }),
    }),
    { minLength: 3, maxLength: 12 },
  );

  test.prop([cases, moves], runs(300))(
    "never leaves nitrous without its fuel, nor fuel without its nitrous, between open, pulsed and shut",
    (flow, list) => {
      shut(flow);
      const settings = structuredClone(smallSettings());
      settings.flow.frequencyHz = flow.frequencyHz;
      Object.assign(settings.stages[0]!, { nitrousSolenoid: flow.nitrous, fuelSolenoid: flow.fuel });
      const { car } = bench;
      const mixture = new Mixture(settings, car.raw.nowUs);
      for (const { share, ms } of [...list, { share: 0, ms: SHUT_MS }]) {
        bench.share = share;
        for (let i = 0; i < ms; i++) {
          car.tick();
          expect(mixture.update(car.raw.nowUs, car.edges, batteryMv(car.raw), car.runs)).toEqual([]);
        }
      }
    },
  );
});
