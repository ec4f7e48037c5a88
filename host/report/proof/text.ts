// A proof as text for a terminal: one line a row of the catalogue with its worst time beside the allowed one, then what failed.
import type { Finding } from "#host/bench/prove/prove.ts";
import { INTERLOCKS } from "#shared-schema/model/interlocks.ts";
import { tableLines } from "../terminal/table.ts";
import type { Paint } from "../terminal/terminal.ts";
import { wrap } from "../terminal/wrap.ts";

/** Scenarios of one row together. Times are the worst, in us. */
export interface RowResult {
  readonly id: string;
  readonly reaction: string;
  readonly outcome: "passed" | "FAILED" | "not enabled" | "not run";
  /** Scenarios that passed, of those that could be tried. */
  readonly passed: number;
  readonly tried: number;
  readonly pinsUs?: number;
  readonly allowedUs?: number;
  readonly relayUs?: number;
}

function worstOf(findings: readonly Finding[]): Partial<RowResult> {
  const nearest = findings
    .filter(({ pinsUs, allowedUs }) => pinsUs !== undefined && allowedUs !== undefined)
    .toSorted((a, b) => b.pinsUs! / b.allowedUs! - a.pinsUs! / a.allowedUs!)[0];
  const relays = findings.map(({ relayUs }) => relayUs).filter((us) => us !== undefined);
  return {
    ...(nearest ? { pinsUs: nearest.pinsUs!, allowedUs: nearest.allowedUs! } : {}),
    ...(relays.length > 0 ? { relayUs: Math.max(...relays) } : {}),
  };
}

function outcomeOf(findings: readonly Finding[], tried: number): RowResult["outcome"] {
  if (findings.length === 0) return "not run";
  if (findings.some(({ outcome }) => outcome === "failed")) return "FAILED";
  return tried === 0 ? "not enabled" : "passed";
}

/** Findings row by row, in the order of the catalogue; the time shown is the one nearest to what it may take. */
export function rowResults(findings: readonly Finding[]): RowResult[] {
  return INTERLOCKS.map(({ id, reaction }) => {
    const mine = findings.filter(({ row }) => row === id);
    const passed = mine.filter(({ outcome }) => outcome === "passed").length;
    const tried = passed + mine.filter(({ outcome }) => outcome === "failed").length;
    return { id, reaction, outcome: outcomeOf(mine, tried), passed, tried, ...worstOf(mine) };
  });
}

/** A time as people read it: `952 us`, `15.97 ms`. */
export function timeText(us: number | undefined): string {
  if (us === undefined) return "-";
  return us < 1000 ? `${us.toFixed(us < 10 ? 1 : 0)} us` : `${(us / 1000).toFixed(2)} ms`;
}

const WIDTHS = [12, 11, 12, 10, 10, 10, 8] as const;
const NUMERIC_FROM = 3;

/** Cells of a row, as in `HEAD`. */
export function rowCells(row: RowResult): string[] {
  const { id, reaction, outcome, pinsUs, allowedUs, relayUs, passed, tried } = row;
  return [
    id,
    reaction,
    outcome,
    timeText(pinsUs),
    timeText(allowedUs),
    timeText(relayUs),
    `${passed}/${tried}`,
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
  const painted = (row: RowResult): string =>
    row.outcome === "FAILED" ? paint.bad(line(rowCells(row))) : line(rowCells(row));
  const rule = line(WIDTHS.map((w, c) => "-".repeat(w - (c < NUMERIC_FROM ? 1 : 2))));
  return [line(HEAD), rule, ...rows.map(painted), ""];
}

/** The table and, for each failure, what was wrong. */
export function proofLines(findings: readonly Finding[], width: number, paint: Paint): string[] {
  const rows = rowResults(findings).filter(({ outcome }) => outcome !== "not run");
  const failed = findings.filter(({ outcome }) => outcome === "failed");
  return [
    ...tableOf(rows, width, paint),
    ...failed.flatMap(({ row, fault, wrong }) => [
      ...wrap(`FAILED ${row}: ${fault}`, width, 2),
      ...wrong.flatMap((words) => wrap(`  - ${words}`, width, 4)),
    ]),
    ...wrap(countLine(findings), width),
  ];
}

/** One line: how many faults passed, failed, could not be tried. */
export function countLine(findings: readonly Finding[]): string {
  const of = (name: Finding["outcome"]): number => findings.filter(({ outcome }) => outcome === name).length;
  const trials = findings.reduce((sum, finding) => sum + finding.trials, 0);
  return `${of("passed")} faults passed in ${trials} trials, ${of("failed")} failed, ${of("not enabled")} not enabled, ${of("not shown")} not shown`;
}
