// The proof: every scenario on a stand of its own, worst times kept, failures in words. Nothing that was not run counts as passed.
import { INTERLOCKS } from "#shared-schema/interlocks.ts";
import type { Document } from "#shared-schema/pack.ts";
import { SCENARIOS } from "./catalogue.ts";
import type { Scenario, Trial } from "./scenario.ts";
import { proofSettings, valueAt } from "./settings.ts";
import { Stand, type StandOptions } from "./stand.ts";

/** What one scenario came to. */
export interface Finding {
  readonly row: string;
  readonly fault: string;
  readonly outcome: "passed" | "failed" | "not enabled";
  readonly trials: number;
  /** Worst of all trials, us. */
  readonly pinsUs?: number;
  readonly relayUs?: number;
  readonly allowedUs?: number;
  readonly wrong: readonly string[];
}

export interface ProofOptions extends StandOptions {
  /** Ids of the rows to prove; all when left out. */
  readonly only?: readonly string[];
  readonly onProgress?: (done: number, all: number) => void;
}

/** Is a setting there? One of the first stage counts for any stage. */
function isThere(document: Document, path: string): boolean {
  const stages = document.stages as unknown[];
  const paths = stages.map((_, s) => path.replace(/^stages\.0\./, `stages.${s}.`));
  return paths.some((each) => valueAt(document, each) !== undefined);
}

/** Do these settings switch the row on, and can they show the fault? */
export function isEnabled(scenario: Scenario, document: Document): boolean {
  const row = INTERLOCKS.find(({ id }) => id === scenario.row)!;
  const on = row.enabledBy.length === 0 || row.enabledBy.some((path) => isThere(document, path));
  return on && (scenario.fits?.(proofSettings(document)) ?? true);
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

async function runTrials(scenario: Scenario, document: Document, options: StandOptions): Promise<Trial[]> {
  const stand = new Stand(scenario.change?.(document) ?? document, options);
  await stand.start();
  const trials: Trial[] = [];
  try {
    for (let trial = 0; trial < scenario.trials; trial++) {
      trials.push(await scenario.run(stand, trial));
      if (trials.at(-1)!.wrong.length > 0) break;
    }
  } finally {
    await stand.teller.close();
  }
  return trials;
}

/** Proves one scenario. What the emulated board refuses is a failure like any other. */
export async function proveScenario(
  scenario: Scenario,
  document: Document,
  options: StandOptions,
): Promise<Finding> {
  const { row, fault } = scenario;
  if (!isEnabled(scenario, document)) return { row, fault, outcome: "not enabled", trials: 0, wrong: [] };
  try {
    const trials = await runTrials(scenario, document, options);
    const wrong = trials.flatMap((trial) => trial.wrong);
    const outcome = wrong.length === 0 ? "passed" : "failed";
    return { row, fault, outcome, trials: trials.length, ...worst(trials), wrong };
  } catch (error) {
    const words = error instanceof Error ? error.message : String(error);
    return { row, fault, outcome: "failed", trials: 0, wrong: [words] };
  }
}

/** Proves all scenarios, or those of some rows. */
export async function prove(document: Document, options: ProofOptions): Promise<Finding[]> {
  const wanted = SCENARIOS.filter(({ row }) => options.only?.includes(row) ?? true);
  const findings: Finding[] = [];
  for (const scenario of wanted) {
    options.onProgress?.(findings.length, wanted.length);
    findings.push(await proveScenario(scenario, document, options));
  }
  options.onProgress?.(wanted.length, wanted.length);
  return findings;
}
