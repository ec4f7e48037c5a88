// The invariant in every tick of random sequences: right settings, random faults, noise, pauses and clock wraps, judged by the oracle.
import { fc, test } from "@fast-check/vitest";
import { expect } from "vitest";
import { Counts, Sequence } from "../../oracle/run.ts";
import { freshCore } from "../../support/core.ts";
import { Random } from "../../support/random.ts";

const TICKS_PER_SEQUENCE = 2000;
const TICKS = Number(process.env.HEADGATE_ORACLE_TICKS ?? 1_000_000);
const counts = new Counts();

test(`no nitrous without every condition, in ${TICKS} random ticks`, async () => {
  const seed = fc.integer({ min: 1, max: 2 ** 31 - 1 });
  const many = fc.property(seed, (s) => {
    const random = new Random(s);
    expect(new Sequence(random, freshCore(), counts).run(random, TICKS_PER_SEQUENCE)).toBeUndefined();
  });
  await fc.assert(many, { numRuns: Math.ceil(TICKS / TICKS_PER_SEQUENCE), endOnFailure: true });
  process.stdout.write(`${counts.text}\n`);
  expect(counts.flowed).toBeGreaterThan(counts.ticks / 10);
});
