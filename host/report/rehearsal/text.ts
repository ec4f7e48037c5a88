// A rehearsal as text for a terminal: stage by stage, a small plot of share against table, and how fast everything shut.
import type { Findings, Flow, SharePoint, Shut } from "#host/bench/findings.ts";
import type { Run } from "#host/bench/loop/rehearse.ts";
import { GO_S } from "#host/bench/loop/script.ts";
import { SAFETY_NOTICES } from "#shared-schema/model/safety-notices.ts";
import { tableLines } from "../terminal/table.ts";
import { wrap } from "../terminal/wrap.ts";
import { type CarOrigin, conditionWords, type RunOrigin } from "./origin.ts";
import { heldRows, slipRows, spinLine, supplyLines, tripLines } from "./slip.ts";

const BAR = 36;
/** Lines of a stage's table at the most, and of one stretch of flow at the least. */
const ROWS = 12;
const LEAST_ROWS = 4;

const percent = (share: number): string => `${Math.round(share * 100)}`.padStart(3);

function bar(point: SharePoint): string {
  const filled = Math.round(point.share * BAR);
  const mark = Math.min(BAR - 1, Math.round(point.table * BAR));
  const cells: string[] = Array.from({ length: BAR }, (_, i) => (i < filled ? "#" : "."));
  cells[mark] = filled > mark ? "|" : ":";
  return cells.join("");
}

function thinned(points: readonly SharePoint[], rows: number): readonly SharePoint[] {
  const full = points.findIndex((p) => p.share >= 1 && p.table >= 1);
  const rising = full < 0 ? points : points.slice(0, full + 1);
  const step = Math.max(1, Math.ceil(rising.length / rows));
  return rising.filter((_, i) => i % step === 0 || i === rising.length - 1);
}

const MADE = { pulsed: "", pattern: "pattern", open: "open" } as const;

const fuelText = ({ fuel }: SharePoint): string => (fuel === undefined ? "     " : `${percent(fuel)} %`);

/** What the words beside the bars mean, where they stand. */
function makingLines(flows: readonly Flow[]): string[] {
  const made = new Set(flows.flatMap(({ points }) => points.map((p) => p.made)));
  return [
    ...(made.has("pattern")
      ? ["  pattern: a pulse in each period cannot make it; one on-run over several does"]
      : []),
    ...(made.has("open")
      ? ["  open: a valve could not shut in the time that is left; the share is 100 %"]
      : []),
  ];
}

function flowLines(flow: Flow, number: number, rows: number): string[] {
  const head = `  flow ${number}: ${flow.fromS.toFixed(3)} s to ${flow.toS.toFixed(3)} s`;
  const lines = thinned(flow.points, rows).map((p) =>
    `  ${p.s.toFixed(2).padStart(5)} s ${percent(p.share)} % ${fuelText(p)} of ${percent(p.table)} % ${bar(p)} ${MADE[p.made]}`.trimEnd(),
  );
  return [head, ...lines];
}

function shutWords({ stillHigh, pinsUs }: Shut): string {
  if (stillHigh) return "pins STILL HIGH";
  return pinsUs === undefined ? "nothing was flowing" : `all solenoid pins low after ${pinsUs.toFixed(1)} us`;
}

function shutLines(shut: Shut): string[] {
  const relay =
    shut.relayMs === undefined ? [] : [`    master relay open after ${shut.relayMs.toFixed(1)} ms`];
  return [`  ${shut.words} at ${shut.atS.toFixed(2)} s: ${shutWords(shut)}`, ...relay];
}

const indented = (lines: readonly string[]): string[] => lines.map((line) => `  ${line}`);

function planLine({ demo, plannedS }: CarOrigin, run: Run): string[] {
  if (demo || !run.slip.quarter) return [];
  return indented(
    wrap(
      `the car's plan, with its own ramps and its own model of the controller: ${plannedS.toFixed(2)} s`,
      76,
      2,
    ),
  );
}

/** What the run came to: time slip, wheelspin, supply, and everything that held off or tripped. */
export function runLines(run: Run, origin: RunOrigin, width: number): string[] {
  const held = heldRows(run);
  return [
    ...wrap(
      `Run ${conditionWords(origin)}, on the ${origin.controller}. The launch switch says go at ${GO_S.toFixed(2)} s; the time slip counts from the first movement.`,
      width,
      2,
    ),
    "",
    "Time slip",
    ...indented(tableLines(["mark", "time", "speed", ""], slipRows(run), width - 2)),
    ...planLine(origin.car, run),
    "",
    "Driven wheels",
    ...indented(wrap(spinLine(run), width - 2, 2)),
    "",
    "Supply",
    ...indented(supplyLines(run)),
    "",
    "What held flow off between the launch switch and the end of the run",
    ...(held.length === 0
      ? ["  nothing"]
      : indented(tableLines(["interlock", "for", "times", "first at", "because"], held, width - 2))),
    ...indented(tripLines(run).flatMap((line) => wrap(line, width - 2, 2))),
    "",
  ];
}

const rowsOf = (flows: readonly Flow[]): number => Math.max(LEAST_ROWS, Math.floor(ROWS / flows.length));

/** Lines of a report, at most 80 columns but for the cautions, which the caller wraps. */
export function rehearsalLines(found: Findings, withShuts = true): string[] {
  const stages = found.stages.flatMap((flows, s) => [
    `Stage ${s + 1}: what nitrous and fuel valve let through, beside the ramp ( | : )`,
    ...(flows.length === 0
      ? ["  did not flow"]
      : flows.flatMap((flow, i) => flowLines(flow, i + 1, rowsOf(flows)))),
    ...makingLines(flows),
    "",
  ]);
  return withShuts ? [...stages, "How fast everything shut", ...found.shuts.flatMap(shutLines)] : stages;
}

/** The cautions, each wrapped to `width` columns. */
export function cautionLines(width = 78): string[] {
  return ["Cautions", ...SAFETY_NOTICES.flatMap(({ text }) => wrap(`- ${text}`, width, 2))];
}
