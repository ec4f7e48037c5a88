// A review as data, for scripts: times by the run's own origin.
import { numberRows } from "./numbers.ts";
import { type Reviewed, since } from "./reviewed.ts";
import { storyOf } from "./story.ts";

/** What the text says, as data. */
export function reviewData(run: Reviewed): Record<string, unknown> {
  const { name, origin, facts, note, lacks, samples } = run;
  return {
    name,
    run: run.run,
    facts: facts ?? null,
    note: note ?? null,
    origin: origin.what,
    records: samples.length,
    story: storyOf(run).map(({ atS, toS, kind, words }) => ({
      at: since(run, atS),
      ...(toS === undefined ? {} : { to: since(run, toS) }),
      kind,
      words,
    })),
    numbers: numberRows(run).map(([what, value, basis]) => ({ what, value, basis })),
    lacks,
  };
}
