// Findings of a proof row by row, each with one word and its worst times.
import type { Finding, Outcome } from "#host/bench/prove/prove.ts";
import { INTERLOCKS } from "#shared-schema/model/interlocks.ts";

/** `partly`: a fault that these settings fit was not shown. `not shown`: none of them was. `not run`: the row was not asked for. */
export type RowOutcome = "passed" | "partly" | "FAILED" | "not shown" | "not fitted" | "not run";

/** Scenarios of one row together. Times are the worst, in us. */
export interface RowResult {
  readonly id: string;
  readonly reaction: string;
  readonly outcome: RowOutcome;
  /** Faults that passed, of those that the settings fit. */
  readonly passed: number;
  readonly fitted: number;
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

/** What a fault came to; passing without a single trial would be no proof. */
export const outcomeOf = ({ outcome, trials }: Finding): Outcome =>
  outcome === "passed" && trials === 0 ? "not shown" : outcome;

function rowOutcome(outcomes: readonly Outcome[]): RowOutcome {
  if (outcomes.length === 0) return "not run";
  if (outcomes.includes("failed")) return "FAILED";
  if (!outcomes.includes("not shown")) return outcomes.includes("passed") ? "passed" : "not fitted";
  return outcomes.includes("passed") ? "partly" : "not shown";
}

/** Findings row by row, in the order of the catalogue; the time shown is the one nearest to what it may take. */
export function rowResults(findings: readonly Finding[]): RowResult[] {
  return INTERLOCKS.map(({ id, reaction }) => {
    const mine = findings.filter(({ row }) => row === id);
    const outcomes = mine.map(outcomeOf);
    const passed = outcomes.filter((outcome) => outcome === "passed").length;
    const fitted = outcomes.filter((outcome) => outcome !== "not fitted").length;
    return { id, reaction, outcome: rowOutcome(outcomes), passed, fitted, ...worstOf(mine) };
  });
}
