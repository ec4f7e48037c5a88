// The invariant in every tick of random sequences: right settings, random faults, noise, pauses and clock wraps, judged by the oracle.
import fc from "fast-check";
import { expect, test } from "vitest";
import { Counts, Sequence } from "../../oracle/run.ts";
import { coreOn } from "../../support/core.ts";
import { ALL } from "../../support/effort.ts";
import { Random } from "../../support/random.ts";
import { WipedFlash } from "../../support/wiped-flash.ts";

/** Into so many files is it cut, so that they run side by side. */
const PARTS = 4;
const TICKS = Number(process.env.HEADGATE_ORACLE_TICKS ?? (ALL ? 10_000_000 : 300_000)) / PARTS;
const TICKS_PER_SEQUENCE = 2000;
/** A sequence ends early when the core locks itself, as one or two in a hundred do. */
const SEQUENCES = Math.ceil((1.02 * TICKS) / TICKS_PER_SEQUENCE) + 1;

/** Without the bias to small and large numbers that would draw every fifth of them again. */
const seeds = fc.noBias(fc.integer({ min: 1, max: 2 ** 31 - 1 }));

/** Declares the test of one part, 1 to 4. Each has a seed of its own beside the one of all properties. */
export function invariant(part: number): void {
  test(`no nitrous without every condition, in ${TICKS} random ticks, part ${part} of ${PARTS}`, () => {
    const counts = new Counts();
    const flash = new WipedFlash();
    const tried = new Set<number>();
    const many = fc.property(seeds, (s) => {
      tried.add(s);
      const random = new Random(s);
      const sequence = new Sequence(random, coreOn(flash.wipe()), counts);
      expect(sequence.run(random, TICKS_PER_SEQUENCE)).toBeUndefined();
    });
    const seed = fc.readConfigureGlobal()?.seed;
    const own = seed === undefined ? {} : { seed: seed + part };
    fc.assert(many, { ...own, numRuns: SEQUENCES, endOnFailure: true });
    process.stdout.write(`invariant, part ${part}: ${tried.size} sequences, ${counts.text}\n`);
    expect(counts.ticks).toBeGreaterThanOrEqual(TICKS);
    expect(counts.flowed).toBeGreaterThan(counts.ticks / 10);
  });
}
