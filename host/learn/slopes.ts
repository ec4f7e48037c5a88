// Values and slopes of a recorded channel: a straight line through the records around each moment, which evens out their steps.
import type { LogSample } from "#host/logbook/sample.ts";

/** A channel at one moment: value, and change of it in a second. */
export interface Sloped {
  readonly value: number;
  readonly perS: number;
}

/** Records within this of a moment take part, s. */
export const HALF_S = 0.05;
/** Between two records there lies more only where records are lost, s. */
const GAP_S = 0.03;
/** Records that a line needs. */
const LEAST_RECORDS = 7;

/** Index of the first and the last record around each record; undefined near an end of the run and near lost records. */
export function surroundings(samples: readonly LogSample[]): (readonly [number, number] | undefined)[] {
  let from = 0;
  let to = 0;
  let whole = 0;
  return samples.map(({ time = 0 }) => {
    while (samples[from]!.time! < time - HALF_S) from++;
    while (to + 1 < samples.length && samples[to + 1]!.time! <= time + HALF_S) {
      to++;
      if (samples[to]!.time! - samples[to - 1]!.time! > GAP_S) whole = to;
    }
    const short = to - from + 1 < LEAST_RECORDS;
    return short || whole > from ? undefined : [from, to];
  });
}

/** The least squares line of a channel through the records `from` to `to`, at a time, s. */
export function lineThrough(
  samples: readonly LogSample[],
  column: string,
  [from, to]: readonly [number, number],
  atS: number,
): Sloped {
  let [n, st, sv, stt, stv] = [0, 0, 0, 0, 0];
  for (let i = from; i <= to; i++) {
    const t = samples[i]!.time! - atS;
    const v = samples[i]![column] ?? 0;
    n++;
    st += t;
    sv += v;
    stt += t * t;
    stv += t * v;
  }
  const perS = (n * stv - st * sv) / (n * stt - st * st);
  return { value: (sv - perS * st) / n, perS };
}
