// A spread as one page: what all its runs came to, then the worst of them in full.
import type { Findings } from "#host/bench/findings.ts";
import { tripsByRow } from "#host/bench/loop/quantiles.ts";
import type { Run } from "#host/bench/loop/rehearse.ts";
import type { SpreadRun } from "#host/bench/loop/spread.ts";
import { escapeHtml, htmlTable } from "../html.ts";
import { htmlPage, resultHtml, type Section } from "../page.ts";
import type { RunOrigin } from "../rehearsal/origin.ts";
import { runIntro, runSections } from "../rehearsal/page.ts";
import type { SpreadHead } from "./head.ts";
import { QUANTILE_NAMES, quantileRows, spreadWords } from "./text.ts";

/** The worst run of a spread, driven again so that all of it was seen. */
export interface WorstRun {
  readonly run: Run;
  readonly found: Findings;
  readonly origin: RunOrigin;
}

function resultOf(runs: readonly SpreadRun[]): string {
  const [times] = quantileRows(runs);
  const range = times ? `${times[0]}: ${times[1]} to ${times.at(-1)}` : "No run arrived";
  const tripped = runs.filter(({ trips }) => trips.length > 0).length;
  const trips = tripped === 0 ? "Nothing tripped in any run." : `Something tripped in ${tripped} of them.`;
  return resultHtml(`${runs.length} runs. ${range}.`, trips);
}

function allRuns(runs: readonly SpreadRun[]): Section {
  const quantiles = quantileRows(runs);
  const numeric = QUANTILE_NAMES.map((_, i) => i + 1);
  const trips = tripsByRow(runs).map(({ id, runs: count }) => [id, String(count)]);
  return {
    heading: "All runs",
    html: [
      htmlTable(["what", ...QUANTILE_NAMES], quantiles, numeric),
      trips.length === 0 ? "" : htmlTable(["tripped", "in so many runs"], trips, [1]),
    ].join(""),
  };
}

/** How the titles of these pages begin. */
export const PAGE_TITLE = "Headgate: spread of runs";

/** The whole page. */
export function spreadPage(runs: readonly SpreadRun[], head: SpreadHead, worst: WorstRun): string {
  const { run, found, origin } = worst;
  return htmlPage(PAGE_TITLE, `${resultOf(runs)}<p>${escapeHtml(spreadWords(runs, head))}</p>`, [
    allRuns(runs),
    { heading: "The worst run", html: runIntro(run, found, origin) },
    ...runSections(run, found, origin),
  ]);
}
