// The proof: every scenario on a bench of its own, worst times kept, failures in words. Nothing that was not run counts as passed.

import { INTERLOCKS } from "#shared-schema/model/interlocks.ts";
import { isEnabled } from "#shared-schema/settings/enabled.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import { SCENARIOS } from "./catalogue.ts";
import { atFullFlow, atPartOfFlow } from "./part-of-flow.ts";
import { NotShown, type Scenario, type Trial } from "./scenario.ts";
import { proofSettings } from "./settings.ts";
import { TestBench, type TestBenchOptions } from "./test-bench.ts";

/** `not fitted`: the settings do not switch the row on, or have no such part. `not shown`: they never give the fault a chance to show. */
export type Outcome = "passed" | "failed" | "not fitted" | "not shown";

/** What one scenario came to. */
export interface Finding {
  readonly row: string;
  readonly fault: string;
  readonly outcome: Outcome;
  readonly trials: number;
  /** With the settings as they are the fault could not show; it was tried with every stage held at part of its flow. */
  readonly atPart?: true;
  /** Worst of all trials, us. */
  readonly pinsUs?: number;
  readonly relayUs?: number;
  readonly allowedUs?: number;
  readonly wrong: readonly string[];
}

export interface ProofOptions extends TestBenchOptions {
  /** Ids of the rows to prove; all when left out. */
  readonly only?: readonly string[];
  /** Scenarios to choose from; the whole catalogue when left out. */
  readonly scenarios?: readonly Scenario[];
  readonly onProgress?: (done: number, all: number) => void;
  /** Awaited after each fault; what it throws ends the proof. It lets in what waits, an interruption for one. */
  readonly between?: () => Promise<void>;
}

/** Do these settings switch the row on, and do they have the part that fails? */
export function isFitted(scenario: Scenario, document: Document): boolean {
  const row = INTERLOCKS.find(({ id }) => id === scenario.row)!;
  return isEnabled(row, document) && (scenario.fits?.(proofSettings(document)) ?? true);
}

type Times = Partial<Record<"pinsUs" | "relayUs" | "allowedUs", number>>;

function worst(trials: readonly Trial[]): Times {
  const times: Times = {};
  for (const name of ["pinsUs", "relayUs", "allowedUs"] as const) {
    const values = trials.map((trial) => trial[name]).filter((us) => us !== undefined);
    if (values.length > 0) times[name] = Math.max(...values);
  }
  return times;
}

type Change = Scenario["change"];
/** Changes that many scenarios share. */
const SHARED: readonly Change[] = [undefined, atPartOfFlow, atFullFlow];

/** Test benches by settings: a bench is used again as long as no trial on it failed or left a fault. */
class TestBenches {
  readonly #options: TestBenchOptions;
  readonly #ready = new Map<Change, TestBench>();

  constructor(options: TestBenchOptions) {
    this.#options = options;
  }

  async take(document: Document, change: Change): Promise<TestBench> {
    const ready = this.#ready.get(change);
    if (ready) return ready;
    const bench = new TestBench(change?.(document) ?? document, this.#options);
    await bench.start();
    this.#ready.set(change, bench);
    return bench;
  }

  /** Ends a bench that is not to be used again. */
  async drop(change: Change): Promise<void> {
    const bench = this.#ready.get(change);
    this.#ready.delete(change);
    await bench?.client.close();
  }

  async end(): Promise<void> {
    for (const change of [...this.#ready.keys()]) await this.drop(change);
  }
}

async function runTrials(scenario: Scenario, bench: TestBench): Promise<Trial[]> {
  const trials: Trial[] = [];
  for (let trial = 0; trial < Math.min(scenario.trials, bench.mostTrials); trial++) {
    trials.push(await scenario.run(bench, trial));
    if (trials.at(-1)!.wrong.length > 0) break;
  }
  return trials;
}

/** Runs a scenario on a bench. What the emulated board refuses is a failure like any other. */
async function findingOf(scenario: Scenario, bench: TestBench): Promise<Finding> {
  const { row, fault } = scenario;
  try {
    const trials = await runTrials(scenario, bench);
    const wrong = trials.flatMap((trial) => trial.wrong);
    const outcome = wrong.length === 0 ? "passed" : "failed";
    return { row, fault, outcome, trials: trials.length, ...worst(trials), wrong };
  } catch (error) {
    if (error instanceof NotShown) return { row, fault, outcome: "not shown", trials: 0, wrong: [] };
    const words = error instanceof Error ? error.message : String(error);
    return { row, fault, outcome: "failed", trials: 0, wrong: [words] };
  }
}

async function tryWith(
  scenario: Scenario,
  document: Document,
  change: Change,
  benches: TestBenches,
): Promise<Finding> {
  const bench = await benches.take(document, change);
  const finding = await findingOf(scenario, bench);
  const usedAgain = SHARED.includes(change) && !bench.spoilt;
  if (!usedAgain || finding.outcome === "failed") await benches.drop(change);
  return finding;
}

/** With the settings as they are; where the fault cannot show in them, once more at part of the flow. */
async function proveOne(scenario: Scenario, document: Document, benches: TestBenches): Promise<Finding> {
  const { row, fault, change } = scenario;
  if (!isFitted(scenario, document)) return { row, fault, outcome: "not fitted", trials: 0, wrong: [] };
  const finding = await tryWith(scenario, document, change, benches);
  if (finding.outcome !== "not shown" || change) return finding;
  const part = await tryWith(scenario, document, atPartOfFlow, benches);
  return part.outcome === "not shown" ? part : { ...part, atPart: true };
}

function wantedScenarios({ scenarios, only }: Pick<ProofOptions, "scenarios" | "only">): readonly Scenario[] {
  return (scenarios ?? SCENARIOS).filter(({ row }) => only?.includes(row) ?? true);
}

/** How many faults a proof tries, by row, in the order of the catalogue. */
export function faultsByRow(options: Pick<ProofOptions, "scenarios" | "only">): Map<string, number> {
  const counts = new Map<string, number>();
  for (const { row } of wantedScenarios(options)) counts.set(row, (counts.get(row) ?? 0) + 1);
  return counts;
}

/** Findings of rows, in the order of the catalogue. */
export function inCatalogueOrder(
  found: ReadonlyMap<string, readonly Finding[]>,
  options: Pick<ProofOptions, "scenarios" | "only">,
): Finding[] {
  const next = new Map<string, number>();
  return wantedScenarios(options).map(({ row }) => {
    const index = next.get(row) ?? 0;
    next.set(row, index + 1);
    return found.get(row)![index]!;
  });
}

/** Proves scenarios of one row on test benches of their own: what is found depends on row and settings alone. */
async function proveRow(
  scenarios: readonly Scenario[],
  document: Document,
  options: ProofOptions,
  step: () => void,
): Promise<Finding[]> {
  const findings: Finding[] = [];
  const benches = new TestBenches(options);
  try {
    for (const scenario of scenarios) {
      findings.push(await proveOne(scenario, document, benches));
      step();
      await options.between?.();
    }
  } finally {
    await benches.end();
  }
  return findings;
}

/** Proves row after row: all, some, or the scenarios given. */
export async function prove(document: Document, options: ProofOptions): Promise<Finding[]> {
  const wanted = wantedScenarios(options);
  const found = new Map<string, Finding[]>();
  let done = 0;
  options.onProgress?.(0, wanted.length);
  for (const row of faultsByRow(options).keys()) {
    const scenarios = wanted.filter((scenario) => scenario.row === row);
    found.set(
      row,
      await proveRow(scenarios, document, options, () => options.onProgress?.(++done, wanted.length)),
    );
  }
  return inCatalogueOrder(found, options);
}
