// Stretches of a run in which something stays so: a mode, a reason that holds flow off, a switch.
import { bitsOf } from "./record.ts";
import type { LogSample } from "./sample.ts";

/** From the first record in which it is so to the first in which it is not, or to the last record of all. Seconds of the log. */
export interface Span {
  readonly fromS: number;
  readonly toS: number;
}

/** A span of a number: a mode, or an interlock. */
export interface NumberedSpan extends Span {
  readonly number: number;
}

const timeOf = (samples: readonly LogSample[], i: number): number =>
  samples[Math.min(i, samples.length - 1)]?.time ?? 0;

/** Every span in which a record fulfils a condition, in order. */
export function spansOf(samples: readonly LogSample[], is: (sample: LogSample) => boolean): Span[] {
  const spans: Span[] = [];
  let from: number | undefined;
  for (const [i, sample] of samples.entries()) {
    const now = is(sample);
    if (now && from === undefined) from = i;
    if (now || from === undefined) continue;
    spans.push({ fromS: timeOf(samples, from), toS: timeOf(samples, i) });
    from = undefined;
  }
  if (from !== undefined) spans.push({ fromS: timeOf(samples, from), toS: timeOf(samples, samples.length) });
  return spans;
}

/** Spans that lie closer than this become one, s. */
export function joined(spans: readonly Span[], gapS: number): Span[] {
  const all: Span[] = [];
  for (const span of spans) {
    const last = all.at(-1);
    if (last && span.fromS - last.toS <= gapS) all[all.length - 1] = { fromS: last.fromS, toS: span.toS };
    else all.push(span);
  }
  return all;
}

/** The modes of a run, one after the other. */
export function modeSpans(samples: readonly LogSample[]): NumberedSpan[] {
  const modes = [...new Set(samples.map(({ mode = 0 }) => mode))];
  return modes
    .flatMap((number) => spansOf(samples, ({ mode }) => mode === number).map((span) => ({ ...span, number })))
    .sort((a, b) => a.fromS - b.fromS);
}

/** What held flow off and when, by interlock; spans of one interlock that lie close together are one. */
export function reasonSpans(samples: readonly LogSample[], gapS = 0): NumberedSpan[] {
  const all = samples.reduce((bits, { reasons = 0 }) => (bits | reasons) >>> 0, 0);
  return bitsOf(all)
    .flatMap((number) => {
      const spans = spansOf(samples, ({ reasons = 0 }) => ((reasons >>> number) & 1) === 1);
      return joined(spans, gapS).map((span) => ({ ...span, number }));
    })
    .sort((a, b) => a.fromS - b.fromS || a.number - b.number);
}
