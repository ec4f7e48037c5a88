// A run in numbers: time slip, wheelspin, supply, and everything that held off or tripped; as rows that text and page share.
import type { Run, Sample } from "#host/bench/loop/rehearse.ts";
import type { Passage } from "#host/bench/loop/time-slip.ts";
import { formatQuantity, toUnit } from "#host/units/format.ts";
import { INTERLOCKS } from "#shared-schema/model/interlocks.ts";

/** Rows of the time slip: mark, time, speed in km/h, speed in miles an hour. */
export function slipRows({ slip }: Run): string[][] {
  const row = (mark: string, at: Passage | undefined): string[] =>
    at === undefined
      ? [mark, "not reached", "", ""]
      : [
          mark,
          `${at.timeS.toFixed(2)} s`,
          `${(at.speedMS * 3.6).toFixed(1)} km/h`,
          `${toUnit(at.speedMS, "mph").toFixed(1)} mph`,
        ];
  return [row("60 ft", slip.sixtyFeet), row("1/8 mile", slip.eighth), row("1/4 mile", slip.quarter)];
}

const percent = (share: number, digits = 1): string => `${(share * 100).toFixed(digits)} %`;

/** One sentence on the driven wheels. */
export function spinLine({ spin }: Run): string {
  const { worst, worstAtS, peak, overS } = spin;
  return `worst slip ${percent(worst)} at ${worstAtS.toFixed(2)} s; the tyres grip most at ${percent(peak)}; beyond that for ${overS.toFixed(2)} s`;
}

const lowest = (run: Run, value: (sample: Sample) => number): number =>
  run.samples.reduce(
    (least, sample) => (sample.s <= run.overS ? Math.min(least, value(sample)) : least),
    Infinity,
  );

const whole = (kpa: number): string => `${kpa.toFixed(0)} kPa`;

/** Sentences on bottle, fuel and battery. */
export function supplyLines(run: Run): string[] {
  const first = run.samples[0]!;
  return [
    `bottle ${whole(first.bottleKpa)} gauge at the start, ${whole(lowest(run, (s) => s.bottleKpa))} at the lowest; ${formatQuantity(run.drawnKg, "lb", 2)} drawn`,
    `fuel pressure ${whole(first.fuelKpa)} gauge at the start, ${whole(lowest(run, (s) => s.fuelKpa))} at the lowest`,
    `battery ${lowest(run, (s) => s.volts).toFixed(2)} V at the lowest`,
  ];
}

const causeOf = (id: string): string => INTERLOCKS.find((row) => row.id === id)?.cause ?? "";

/** Rows of what held off: interlock, for how long, how often, first at, why. */
export const heldRows = ({ held }: Run): string[][] =>
  held.map(({ id, forS, times, firstS }) => [
    id,
    `${forS.toFixed(2)} s`,
    String(times),
    `${firstS.toFixed(2)} s`,
    causeOf(id),
  ]);

/** What tripped, a line each. */
export const tripLines = ({ trips }: Run): string[] =>
  trips.length === 0 ? ["nothing tripped"] : trips.map((id) => `${id} tripped: ${causeOf(id)}`);
