// Pulses after a time, read from the end of the edges, are those that all edges give.
import { fc, test } from "@fast-check/vitest";
import { expect } from "vitest";
import type { Edge } from "#host/bench/board/pins.ts";
import { latePulses, type Pulse, pulsesOf } from "#host/bench/pulses.ts";
import { GAP_US, TRY_US } from "#shared-schema/model/blocks.ts";
import { runs } from "../../support/effort.ts";

const SHORT_NS = [TRY_US * 1000, TRY_US * 1000 + 1, (GAP_US + 100) * 1000 - 1, (GAP_US + 100) * 1000];
const width = fc.oneof(fc.constantFrom(...SHORT_NS), fc.integer({ min: 1, max: 4e6 }));
const edges = fc.array(width, { maxLength: 40 }).map((widths) => {
  const sums = widths.map((_, n) => widths.slice(0, n + 1).reduce((sum, each) => sum + each, 0));
  return sums.map((ns, n): Edge => ({ ns, level: n % 2 === 0 ? 1 : 0 }));
});

const endingAfter = (pulses: readonly Pulse[], ns: number): Pulse[] =>
  pulses.filter(({ startNs, widthNs }) => startNs + widthNs > ns);

test.prop([edges, fc.double({ min: 0, max: 1, noNaN: true })], runs(1000))(
  "of any edges and after any time: the same pulses, joined over the same gaps",
  (all, part) => {
    const toNs = (all.at(-1)?.ns ?? 0) + 1000;
    const ns = Math.round(part * toNs);
    expect(endingAfter(latePulses(all, ns, toNs), ns)).toEqual(endingAfter(pulsesOf(all, toNs), ns));
  },
);

test("edges long before are not looked at", () => {
  const all = [1, 2, 3, 4].map((ms): Edge => ({ ns: ms * 1e7, level: ms % 2 === 1 ? 1 : 0 }));
  expect(latePulses(all, 2.5e7, 5e7)).toEqual([{ startNs: 3e7, widthNs: 1e7 }]);
});
