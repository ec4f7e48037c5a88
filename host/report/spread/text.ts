// A spread as text: what was spread, quantiles, trips by row, and the worst run.
import type { Conditions } from "#host/bench/loop/conditions.ts";
import { quantiles, SHARES, tripsByRow, worstOf } from "#host/bench/loop/quantiles.ts";
import type { SpreadRun } from "#host/bench/loop/spread.ts";
import type { Tolerance } from "#host/bench/loop/tolerance.ts";
import { EIGHTH_MILE_M } from "#host/car/quarter-mile.ts";
import { formatQuantity } from "#host/units/format.ts";
import { shellWord } from "../terminal/shell-word.ts";
import { tableLines } from "../terminal/table.ts";
import { wrap } from "../terminal/wrap.ts";
import type { SpreadHead } from "./head.ts";

const percent = (share: number, digits = 0): string => `${(share * 100).toFixed(digits)} %`;
const around = (by: number): string => `${Math.round((1 - by) * 100)} to ${percent(1 + by)}`;

function toleranceWords(t: Tolerance, batteryV: number): string {
  const psi = formatQuantity(t.bottlePa, "psi", 0);
  const battery = `${(batteryV - t.batteryDownV).toFixed(1)} to ${(batteryV + t.batteryUpV).toFixed(1)} V`;
  return `grip ${around(t.gripShare)}, start up to ${t.lateS.toFixed(2)} s late, bottle within ${psi} of the plan's, flow ${around(t.flowShare)}, valve times ${around(t.valveShare)}, battery ${battery}, noise of ${t.noiseMv.toFixed(1)} mV at every sensor`;
}

/** Titles of the quantiles. */
export const QUANTILE_NAMES = SHARES.map((share) =>
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

/** The command that drives a run again, but for its noise, in pieces that stay on one line each. */
function commandPieces(c: Conditions, { settings, car, bottlePa, batteryV, plan }: SpreadHead): string[] {
  const bottle = formatQuantity(bottlePa + c.bottlePa, "psi", 1).replace(" ", "");
  const isEighth = "distanceM" in plan.until && plan.until.distanceM === EIGHTH_MILE_M;
  return [
    `headgate rehearse ${shellWord(settings)}`,
    ...(car === undefined ? [] : [`--car ${shellWord(car)}`]),
    ...(isEighth ? ["--until eighth"] : []),
    `--grip ${(c.gripShare * 100).toFixed(2)}%`,
    `--late ${c.lateS.toFixed(3)}s`,
    `--bottle ${bottle}`,
    `--flow ${(c.flowShare * 100).toFixed(2)}%`,
    `--valves ${(c.valveShare * 100).toFixed(2)}%`,
    `--battery ${(batteryV + c.batteryV).toFixed(2)}V`,
    ...(c.noiseMv > 0 ? [`--noise ${c.noiseMv.toFixed(1)}mV`] : []),
  ];
}

/** A command in lines that a shell reads as one: each but the last ends with a backslash. */
function commandLines(pieces: readonly string[], width: number): string[] {
  const lines: string[] = [];
  for (const piece of pieces) {
    const line = lines.at(-1);
    if (line !== undefined && line.length + 1 + piece.length + 2 <= width)
      lines[lines.length - 1] = `${line} ${piece}`;
    else lines.push(`${line === undefined ? "  " : "    "}${piece}`);
  }
  return lines.map((line, i) => (i < lines.length - 1 ? `${line} \\` : line));
}

function worstLines(runs: readonly SpreadRun[], head: SpreadHead, width: number): string[] {
  const worst = worstOf(runs);
  if (!worst) return [];
  const time = worst.quarterS ?? worst.eighthS;
  const took = time === undefined ? "did not arrive" : `${time.toFixed(2)} s`;
  const trips = worst.trips.length === 0 ? "" : `, tripped ${worst.trips.join(", ")}`;
  const look =
    worst.conditions.noiseMv > 0
      ? "Look at it, with its noise drawn anew (`--html` draws the run itself)"
      : "Look at it";
  return [
    ...wrap(
      `Worst run: number ${worst.run + 1}: ${took}, worst slip ${percent(worst.worstSlip, 1)}, ${worst.overPeakS.toFixed(2)} s beyond the peak${trips}. ${look}:`,
      width,
    ),
    ...commandLines(commandPieces(worst.conditions, head), width),
  ];
}

function tripLines(runs: readonly SpreadRun[]): string[] {
  const trips = tripsByRow(runs);
  if (trips.length === 0) return ["Nothing tripped in any run."];
  return ["Tripped, in so many runs", ...trips.map(({ id, runs: count }) => `  ${id.padEnd(14)} ${count}`)];
}

/** How many runs, and what was drawn within which tolerance. */
export function spreadWords(runs: readonly SpreadRun[], { plan, all, batteryV }: SpreadHead): string {
  const drawn = plan.corners ? "the corners of" : `seed ${plan.seed},`;
  return `${runs.length} of ${all} runs, ${drawn} ${toleranceWords(plan.tolerance, batteryV)}.`;
}

/** All lines. */
export function spreadLines(runs: readonly SpreadRun[], head: SpreadHead, width: number): string[] {
  const spinning = runs.filter(({ overPeakS }) => overPeakS > 0).length;
  const planned = runs.filter(({ quarterS }) => quarterS !== undefined && quarterS <= head.plannedS).length;
  const arrived = runs.some(({ quarterS }) => quarterS !== undefined);
  return [
    ...wrap(`${head.whose} Settings ${head.settings} (${head.hash}), on the core rig.`, width),
    ...wrap(spreadWords(runs, head), width),
    "",
    ...tableLines(["", ...QUANTILE_NAMES], quantileRows(runs), width),
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
