// Pulses at the solenoid pins of the released image: frequency and width within one counter step of the arithmetic.
import { describe, expect, test } from "vitest";
import { TestBench } from "#host/bench/prove/test-bench.ts";
import { withValues } from "#host/bench/prove/variants.ts";
import { type Pulse, pulsesOf } from "#host/bench/pulses.ts";
import { PWM_STEP_US } from "#shared-schema/model/blocks.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import { sample } from "../../../support/effort.ts";
import { benchOptions, PROVING } from "../../../support/proving.ts";

const STEP_NS = PWM_STEP_US * 1000;
/** Patterns that are looked at, of up to three periods each. */
const PERIODS = 5;
/** Opening and closing time of nitrous and fuel, us: the same at any voltage, so that the battery has no part in it. */
const NITROUS = { opening: 9000, closing: 6000 };
const FUEL = { opening: 7000, closing: 5000 };
const SHARES = [300, 200, 650, 700];

type Times = typeof NITROUS;

/** Fewest periods, at most three and no longer together than an eighth of a second, in which both valves can make a share. */
function expectedPeriods(permille: number, hz: number): number {
  const periodUs = 1e6 / hz;
  const makes = (n: number): boolean => {
    const flowsUs = (permille / 1000) * n * periodUs;
    const closing = Math.max(NITROUS.closing, FUEL.closing);
    return flowsUs > closing && flowsUs <= n * periodUs - Math.max(NITROUS.opening, FUEL.opening);
  };
  return [1, 2, 3].find((n) => n <= hz / 8 && makes(n)) ?? 0;
}

/** Width of the on-run of a share over so many periods: what flows, and the opening, less the closing. */
const expectedNs = (permille: number, hz: number, periods: number, { opening, closing }: Times): number =>
  ((permille / 1000) * periods * 1e9) / hz + (opening - closing) * 1000;

function times(at: string, { opening, closing }: Times): Record<string, number> {
  const names = ["opening10VUs", "opening12VUs", "opening14VUs"];
  return { ...Object.fromEntries(names.map((n) => [`${at}.${n}`, opening])), [`${at}.closingUs`]: closing };
}

/** The proving bench with steady shares at one frequency. */
function steady(hz: number): Document {
  const values = Object.assign(
    { "flow.frequencyHz": hz, "flow.longestRunMs": 60_000 },
    ...SHARES.map((_, s) => ({
      [`stages.${s}.longestMs`]: 30_000,
      ...times(`stages.${s}.nitrousSolenoid`, NITROUS),
      ...times(`stages.${s}.fuelSolenoid`, FUEL),
    })),
  ) as Record<string, number>;
  const document = structuredClone(withValues(values)(PROVING)) as { stages: Record<string, unknown>[] };
  document.stages.forEach((stage, s) => {
    stage.ramps = [
      {
        over: "time",
        points: [
          [0, SHARES[s]!],
          [1, SHARES[s]!],
        ],
      },
    ];
    delete stage.follows;
  });
  return document as unknown as Document;
}

/** The pulses of some whole periods, from the second after the bench flows. */
function pulsesAt(bench: TestBench, name: string, hz: number): Pulse[] {
  const fromNs = bench.nowNs - (3 * PERIODS * 1e9) / hz;
  return pulsesOf(bench.board.pins.edges(name), bench.nowNs)
    .filter((p) => p.startNs >= fromNs)
    .slice(0, -1);
}

function expectPulses(pulses: readonly Pulse[], hz: number, widthNs: number): void {
  expect(pulses.length).toBeGreaterThanOrEqual(PERIODS - 2);
  for (const [i, pulse] of pulses.entries()) {
    expect(Math.abs(pulse.widthNs - widthNs)).toBeLessThanOrEqual(STEP_NS);
    if (i > 0)
      expect(Math.abs(pulse.startNs - pulses[i - 1]!.startNs - 1e9 / hz)).toBeLessThanOrEqual(STEP_NS);
  }
}

/** A pin pulses as expected, once in the periods of its pattern. */
function expectPin(bench: TestBench, name: string, hz: number, permille: number, times: Times): void {
  const periods = expectedPeriods(permille, hz);
  expect(periods).toBeGreaterThan(0);
  expectPulses(pulsesAt(bench, name, hz), hz / periods, expectedNs(permille, hz, periods, times));
}

function expectInPhase(bench: TestBench, stage: number, hz: number): void {
  const starts = (kind: string): number[] => pulsesAt(bench, `${kind}${stage + 1}`, hz).map((p) => p.startNs);
  const [nitrous, fuel] = [starts("nitrous"), starts("fuel")];
  if (nitrous.length === 0 || fuel.length === 0) return;
  expect(nitrous.length).toBe(fuel.length);
  for (const [i, ns] of nitrous.entries()) expect(Math.abs(ns - fuel[i]!)).toBeLessThanOrEqual(STEP_NS);
}

describe.each(sample([20, 8, 40], 3))("at %i Hz", (hz) => {
  test("every stage pulses by its share and its valves' times, nitrous and fuel in phase", async () => {
    const bench = new TestBench(steady(hz), benchOptions());
    await bench.start();
    expect(bench.toFlow()).toBe(true);
    bench.board.runFor(((3 * PERIODS + 6) * 1e6) / hz);
    for (const [s, permille] of SHARES.entries()) {
      expectPin(bench, `nitrous${s + 1}`, hz, permille, NITROUS);
      if (bench.settings.stages[s]!.kind === "dry") continue;
      expectPin(bench, `fuel${s + 1}`, hz, permille, FUEL);
      expectInPhase(bench, s, hz);
    }
    await bench.client.close();
  });
});
