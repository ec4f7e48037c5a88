// A spread as text: what was spread, quantiles, trips by row, and the worst run.
import type { Conditions } from "#host/bench/loop/conditions.ts";
import { quantiles, SHARES, tripsByRow, worstOf } from "#host/bench/loop/quantiles.ts";
import type { SpreadRun } from "#host/bench/loop/spread.ts";
import type { Tolerance } from "#host/bench/loop/tolerance.ts";
import { formatQuantity } from "#host/units/format.ts";
import { tableLines } from "../terminal/table.ts";
import { wrap } from "../terminal/wrap.ts";
import type { SpreadHead } from "./head.ts";

const percent = (share: number, digits = 0): string => `${(share * 100).toFixed(digits)} %`;
const around = (by: number): string => `${Math.round((1 - by) * 100)} to ${percent(1 + by)}`;

function toleranceWords(t: Tolerance): string {
  const psi = formatQuantity(t.bottlePa, "psi", 0);
  return `grip ${around(t.gripShare)}, start up to ${t.lateS.toFixed(2)} s late, bottle within ${psi} of the plan's, flow ${around(t.flowShare)}, valve times ${around(t.valveShare)}, noise of ${t.noiseMv.toFixed(1)} mV at every sensor`;
}

const NAMES = SHARES.map((share) =>
  share === 0 ? "least" : share === 0.5 ? "median" : share === 1 ? "most" : percent(share),
);

function row(
  name: string,
  runs: readonly SpreadRun[],
  value: (run: SpreadRun) => number | undefined,
  write: (value: number) => string,
): string[][] {
  const values = runs.map(value).filter((v) => v !== undefined);
  return values.length === 0 ? [] : [[name, ...quantiles(values).map(write)]];
}

/** Rows of quantiles: what, then the least to the most. */
export function quantileRows(runs: readonly SpreadRun[]): string[][] {
  const seconds = (s: number): string => s.toFixed(2);
  return [
    ...row("1/4 mile, s", runs, (r) => r.quarterS, seconds),
    ...row("1/8 mile, s", runs, (r) => r.eighthS, seconds),
    ...row("60 ft, s", runs, (r) => r.sixtyFeetS, seconds),
    ...row(
      "worst slip, %",
      runs,
      (r) => r.worstSlip,
      (slip) => (slip * 100).toFixed(1),
    ),
    ...row("beyond peak, s", runs, (r) => r.overPeakS, seconds),
  ];
}

/** Conditions as options of `headgate rehearse`, exact enough to meet the run again. */
function asOptions(c: Conditions, head: SpreadHead): string {
  const psi = formatQuantity(head.bottlePa + c.bottlePa, "psi", 1).replace(" ", "");
  return `--grip ${(c.gripShare * 100).toFixed(2)}% --late ${c.lateS.toFixed(3)}s --bottle ${psi} --flow ${(c.flowShare * 100).toFixed(2)}% --valves ${(c.valveShare * 100).toFixed(2)}%`;
}

function worstLines(runs: readonly SpreadRun[], head: SpreadHead, width: number): string[] {
  const worst = worstOf(runs);
  if (!worst) return [];
  const time = worst.quarterS ?? worst.eighthS;
  const took = time === undefined ? "did not arrive" : `${time.toFixed(2)} s`;
  const trips = worst.trips.length === 0 ? "" : `, tripped ${worst.trips.join(", ")}`;
  return [
    ...wrap(
      `Worst run: number ${worst.run + 1}: ${took}, worst slip ${percent(worst.worstSlip, 1)}, ${worst.overPeakS.toFixed(2)} s beyond the peak${trips}. Look at it:`,
      width,
    ),
    ...wrap(
      `  headgate rehearse ${head.settings} ${head.car === undefined ? "" : `--car ${head.car} `}${asOptions(worst.conditions, head)}`,
      width,
      4,
    ),
  ];
}

function tripLines(runs: readonly SpreadRun[]): string[] {
  const trips = tripsByRow(runs);
  if (trips.length === 0) return ["Nothing tripped in any run."];
  return ["Tripped, in so many runs", ...trips.map(({ id, runs: count }) => `  ${id.padEnd(14)} ${count}`)];
}

/** All lines. */
export function spreadLines(runs: readonly SpreadRun[], head: SpreadHead, width: number): string[] {
  const { plan, all } = head;
  const drawn = plan.corners ? "the corners of" : `seed ${plan.seed},`;
  const spinning = runs.filter(({ overPeakS }) => overPeakS > 0).length;
  const planned = runs.filter(({ quarterS }) => quarterS !== undefined && quarterS <= head.plannedS).length;
  const arrived = runs.some(({ quarterS }) => quarterS !== undefined);
  return [
    ...wrap(`${head.whose} Settings ${head.settings} (${head.hash}), on the core rig.`, width),
    ...wrap(`${runs.length} of ${all} runs, ${drawn} ${toleranceWords(plan.tolerance)}.`, width),
    "",
    ...tableLines(["", ...NAMES], quantileRows(runs), width),
    "",
    ...wrap(`The wheels went beyond the slip of the best grip in ${spinning} of ${runs.length} runs.`, width),
    ...(arrived && head.car !== undefined
      ? wrap(
          `The car's plan says ${head.plannedS.toFixed(2)} s; ${planned} of ${runs.length} runs were as quick.`,
          width,
        )
      : []),
    ...tripLines(runs),
    ...worstLines(runs, head, width),
  ];
}
