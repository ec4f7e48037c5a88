// A proof as text for a terminal: one line a row of the catalogue with its worst time beside the allowed one, then what failed.
import type { Finding } from "#host/bench/prove/prove.ts";
import { tableLines } from "../terminal/table.ts";
import type { Paint } from "../terminal/terminal.ts";
import { wrap } from "../terminal/wrap.ts";
import { outcomeOf, type RowResult } from "./rows.ts";
import { notCovered, type ProofVerdict } from "./verdict.ts";

/** A time as people read it: `952 us`, `15.97 ms`. */
export function timeText(us: number | undefined): string {
  if (us === undefined) return "-";
  return us < 1000 ? `${us.toFixed(us < 10 ? 1 : 0)} us` : `${(us / 1000).toFixed(2)} ms`;
}

const WIDTHS = [12, 11, 12, 10, 10, 10, 8] as const;
const NUMERIC_FROM = 3;

/** Cells of a row, as in `HEAD`. */
export function rowCells(row: RowResult): string[] {
  const { id, reaction, outcome, pinsUs, allowedUs, relayUs, passed, fitted } = row;
  return [
    id,
    reaction,
    outcome,
    timeText(pinsUs),
    timeText(allowedUs),
    timeText(relayUs),
    `${passed}/${fitted}`,
  ];
}

/** Titles of the cells of a row. */
export const HEAD = ["row", "reaction", "outcome", "pins low", "allowed", "relay", "faults"] as const;

function line(cells: readonly string[]): string {
  const padded = cells.map((cell, c) =>
    c < NUMERIC_FROM ? cell.padEnd(WIDTHS[c]!) : cell.padStart(WIDTHS[c]!),
  );
  return padded.join("").trimEnd();
}

const TABLE_WIDTH = WIDTHS.reduce((sum, width) => sum + width, 0);

/** One line a row; on a screen that is too narrow for it, whatever fits. */
function tableOf(rows: readonly RowResult[], width: number, paint: Paint): string[] {
  if (width < TABLE_WIDTH) return [...tableLines(HEAD, rows.map(rowCells), width), ""];
  const painted = (row: RowResult): string => {
    const text = line(rowCells(row));
    if (row.outcome === "FAILED") return paint.bad(text);
    return row.outcome === "passed" ? text : paint.warn(text);
  };
  const rule = line(WIDTHS.map((w, c) => "-".repeat(w - (c < NUMERIC_FROM ? 1 : 2))));
  return [line(HEAD), rule, ...rows.map(painted), ""];
}

/** What is not covered, the table and, for each failure, what was wrong. The verdict is the caller's last line. */
export function proofLines(
  findings: readonly Finding[],
  verdict: ProofVerdict,
  width: number,
  paint: Paint,
): string[] {
  const failed = findings.filter(({ outcome }) => outcome === "failed");
  const open = notCovered(verdict).flatMap((text) => wrap(text, width, 2).map((each) => paint.warn(each)));
  return [
    ...open,
    ...(open.length > 0 ? [""] : []),
    ...tableOf(verdict.rows, width, paint),
    ...failed.flatMap(({ row, fault, wrong }) => [
      ...wrap(`FAILED ${row}: ${fault}`, width, 2),
      ...wrong.flatMap((words) => wrap(`  - ${words}`, width, 4)),
    ]),
    ...wrap(countLine(findings), width),
  ];
}

/** One line: how many faults passed, and of them only at part of the flow, failed, were not shown, are not fitted. */
export function countLine(findings: readonly Finding[]): string {
  const of = (name: Finding["outcome"]): number =>
    findings.filter((finding) => outcomeOf(finding) === name).length;
  const trials = findings.reduce((sum, finding) => sum + finding.trials, 0);
  const parts = findings.filter((finding) => finding.atPart && outcomeOf(finding) === "passed").length;
  const atPart = parts > 0 ? ` (${parts} only at part of the flow)` : "";
  return `${of("passed")} faults passed${atPart} in ${trials} trials, ${of("failed")} failed, ${of("not shown")} not shown, ${of("not fitted")} not fitted`;
}
