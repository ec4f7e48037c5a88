// The invariant in every tick of random sequences: right settings, random faults, noise, pauses and clock wraps, judged by the oracle.
import fc from "fast-check";
import { expect, test } from "vitest";
import { INTERLOCKS } from "#shared-schema/model/interlocks.ts";
import { Counts, Sequence, turnFor } from "../../oracle/run.ts";
import { coreOn } from "../../support/core.ts";
import { ALL } from "../../support/effort.ts";
import { Random } from "../../support/random.ts";
import { WipedFlash } from "../../support/wiped-flash.ts";

/** Into so many files is it cut, so that they run side by side. */
const PARTS = 5;
const TICKS = Number(process.env.HEADGATE_ORACLE_TICKS ?? (ALL ? 10_000_000 : 300_000)) / PARTS;
const TICKS_PER_SEQUENCE = 2000;
/** Sequences end early when the core locks itself; when there were enough ticks the others are left out. */
const SEQUENCES = Math.ceil((1.6 * TICKS) / TICKS_PER_SEQUENCE) + 1;
/** So often a trip is reached in ten million ticks, at least, and in fewer in proportion. */
const EACH_TRIP = 200;
const LEAST_REACHED = Math.max(1, Math.floor((EACH_TRIP * TICKS) / 10_000_000));
/** A row that chance has left out gets so many more sequences; on any day there are few of each. */
const MORE = 120;
/** At least this part of all ticks flows. */
const LEAST_FLOWING = 0.24;

const REACHABLE = INTERLOCKS.filter(
  ({ reaction, lasting }) => reaction === "trip" || reaction === "lockout" || lasting === "trip",
);

/** Seeds and turns of one part, so that a red run names the two numbers that make its sequence again. */
function runsOf(part: number): [number, number][] {
  const random = new Random((fc.readConfigureGlobal()?.seed ?? 1) + part);
  const first = part * SEQUENCES;
  return Array.from({ length: SEQUENCES }, (_, i) => [random.between(1, 2 ** 31 - 1), first + i]);
}

/** Declares the test of one part, 1 to 5. Each has seeds of its own. */
export function invariant(part: number): void {
  test(`no nitrous without every condition, in ${TICKS} random ticks, part ${part} of ${PARTS}`, () => {
    const counts = new Counts();
    const flash = new WipedFlash();
    const sequence = (seed: number, turn: number): void => {
      const random = new Random(seed);
      const made = new Sequence(random, coreOn(flash.wipe()), counts, turn);
      expect(made.run(random, TICKS_PER_SEQUENCE)).toBeUndefined();
    };
    const many = fc.property(fc.nat(), fc.nat(), (seed, turn) => {
      if (counts.ticks < TICKS) sequence(seed, turn);
    });
    fc.assert(many, { examples: runsOf(part), numRuns: SEQUENCES, endOnFailure: true });
    const reached = (id: string): number => counts.trips.get(id) ?? 0;
    for (const { id } of REACHABLE)
      for (let i = 0; i < MORE && reached(id) < LEAST_REACHED; i++) sequence(part * MORE + i, turnFor(id, i));
    process.stdout.write(`invariant, part ${part}: ${counts.text}\n`);
    expect(counts.ticks).toBeGreaterThanOrEqual(TICKS);
    expect(counts.flowed).toBeGreaterThan(LEAST_FLOWING * counts.ticks);
    const seldom = REACHABLE.filter(({ id }) => reached(id) < LEAST_REACHED);
    expect(seldom.map(({ id }) => `${id} ${reached(id)} times`)).toEqual([]);
  }, 900_000);
}
