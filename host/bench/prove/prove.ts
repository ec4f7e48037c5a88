// The proof: every scenario on a stand of its own, worst times kept, failures in words. Nothing that was not run counts as passed.
import { INTERLOCKS } from "#shared-schema/model/interlocks.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import { SCENARIOS } from "./catalogue.ts";
import { NotShown, type Scenario, type Trial } from "./scenario.ts";
import { proofSettings, valueAt } from "./settings.ts";
import { Stand, type StandOptions } from "./test-bench.ts";

/** `not enabled`: the settings do not switch the row on. `not shown`: at full flow they never give the fault a chance to show. */
export type Outcome = "passed" | "failed" | "not enabled" | "not shown";

/** What one scenario came to. */
export interface Finding {
  readonly row: string;
  readonly fault: string;
  readonly outcome: Outcome;
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
  /** Scenarios to choose from; the whole catalogue when left out. */
  readonly scenarios?: readonly Scenario[];
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

/** Stands by settings: one is used again as long as everything on it went as it must. */
class Stands {
  readonly #options: StandOptions;
  #ready: Stand | undefined;

  constructor(options: StandOptions) {
    this.#options = options;
  }

  async take(document: Document, change: Scenario["change"]): Promise<Stand> {
    const ready = change ? undefined : this.#ready;
    if (ready) return ready;
    const stand = new Stand(change?.(document) ?? document, this.#options);
    await stand.start();
    if (!change) this.#ready = stand;
    return stand;
  }

  /** Ends a stand that is not to be used again. */
  async drop(stand: Stand): Promise<void> {
    if (this.#ready === stand) this.#ready = undefined;
    await stand.teller.close();
  }

  async end(): Promise<void> {
    if (this.#ready) await this.drop(this.#ready);
  }
}

async function runTrials(scenario: Scenario, stand: Stand): Promise<Trial[]> {
  const trials: Trial[] = [];
  for (let trial = 0; trial < Math.min(scenario.trials, stand.mostTrials); trial++) {
    trials.push(await scenario.run(stand, trial));
    if (trials.at(-1)!.wrong.length > 0) break;
  }
  return trials;
}

/** Runs a scenario on a stand. What the emulated board refuses is a failure like any other. */
async function findingOf(scenario: Scenario, stand: Stand): Promise<Finding> {
  const { row, fault } = scenario;
  try {
    const trials = await runTrials(scenario, stand);
    const wrong = trials.flatMap((trial) => trial.wrong);
    const outcome = wrong.length === 0 ? "passed" : "failed";
    return { row, fault, outcome, trials: trials.length, ...worst(trials), wrong };
  } catch (error) {
    if (error instanceof NotShown) return { row, fault, outcome: "not shown", trials: 0, wrong: [] };
    const words = error instanceof Error ? error.message : String(error);
    return { row, fault, outcome: "failed", trials: 0, wrong: [words] };
  }
}

async function proveOne(scenario: Scenario, document: Document, stands: Stands): Promise<Finding> {
  const { row, fault, change } = scenario;
  if (!isEnabled(scenario, document)) return { row, fault, outcome: "not enabled", trials: 0, wrong: [] };
  const stand = await stands.take(document, change);
  const finding = await findingOf(scenario, stand);
  if (change || finding.outcome === "failed") await stands.drop(stand);
  return finding;
}

/** Proves scenarios one after the other: all, those of some rows, or those given. */
export async function prove(document: Document, options: ProofOptions): Promise<Finding[]> {
  const all = options.scenarios ?? SCENARIOS;
  const wanted = all.filter(({ row }) => options.only?.includes(row) ?? true);
  const findings: Finding[] = [];
  const stands = new Stands(options);
  for (const scenario of wanted) {
    options.onProgress?.(findings.length, wanted.length);
    findings.push(await proveOne(scenario, document, stands));
  }
  await stands.end();
  options.onProgress?.(wanted.length, wanted.length);
  return findings;
}
