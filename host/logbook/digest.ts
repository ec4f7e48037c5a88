// A run in one line: how long it flowed, its peaks, and how it ended, as far as its log tells.
import { MODES } from "#shared-schema/model/interlocks.ts";
import { lockName } from "./record.ts";
import { type LogSample, NO_TRIP } from "./sample.ts";

/** What one line of a list says of a run. */
export interface Digest {
  /** Time in which a stage flowed, s. */
  readonly flowingS: number;
  /** The highest engine speed, road speed and share of any stage: rpm, km/h and percent. */
  readonly peakRpm: number;
  readonly peakKmh: number;
  readonly peakShare: number;
  /** Every interlock that tripped or locked out, in order. */
  readonly trips: readonly string[];
  /** Mode of the last record. */
  readonly lastMode: string;
}

const FLOWING = MODES.indexOf("flowing");
/** Between two records there lies more only where pages are lost, s. */
const LONGEST_STEP_S = 0.02;
const SHARES = ["share1", "share2", "share3", "share4"] as const;

/** Time to the next record that counts as spent in the mode of this one, s. */
function stepS(samples: readonly LogSample[], i: number): number {
  const next = samples[i + 1]?.time;
  return next === undefined ? 0 : Math.min(LONGEST_STEP_S, next - samples[i]!.time!);
}

const peak = (samples: readonly LogSample[], name: string): number =>
  samples.reduce((most, sample) => Math.max(most, sample[name] ?? 0), 0);

/** Interlocks that tripped, in order, each once. */
export function tripsIn(samples: readonly LogSample[]): string[] {
  const numbers = samples.map(({ trip = NO_TRIP }) => trip).filter((trip) => trip !== NO_TRIP);
  return [...new Set(numbers)].map(lockName);
}

/** Seconds in which a stage flowed. */
export function flowingSeconds(samples: readonly LogSample[]): number {
  const seconds = samples.reduce((sum, { mode }, i) => (mode === FLOWING ? sum + stepS(samples, i) : sum), 0);
  return Number(seconds.toFixed(2));
}

/** The line of a run. */
export function digestOf(samples: readonly LogSample[]): Digest {
  const mode = samples.at(-1)?.mode;
  return {
    flowingS: flowingSeconds(samples),
    peakRpm: peak(samples, "engineSpeed"),
    peakKmh: peak(samples, "roadSpeed"),
    peakShare: Math.max(...SHARES.map((name) => peak(samples, name))),
    trips: tripsIn(samples),
    lastMode: mode === undefined ? "" : (MODES[mode] ?? `number ${mode}`),
  };
}
