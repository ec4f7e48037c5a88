// What a scenario is: a row of the catalogue, a fault at a pin in words, and the steps that make and undo it.
import type { Document } from "#shared-schema/settings/pack.ts";
import type { ProofSettings } from "./settings.ts";
import type { TestBench } from "./test-bench.ts";

/** What one trial came to. Times in microseconds from the cause; `wrong` is empty when all was as it must be. */
export interface Trial {
  readonly pinsUs?: number | undefined;
  readonly relayUs?: number | undefined;
  readonly allowedUs?: number | undefined;
  readonly wrong: readonly string[];
}

/** Thrown by a trial whose fault cannot show in these settings: not passed, not failed. */
export class NotShown extends Error {}

/** One fault and its proof. */
export interface Scenario {
  /** Id of the row. */
  readonly row: string;
  /** The fault in words; no two scenarios of a row share them. */
  readonly fault: string;
  /** Can these settings show it, beyond what the row's `enabledBy` asks? */
  readonly fits?: (settings: ProofSettings) => boolean;
  /** Settings to prove it with, made from those given. */
  readonly change?: (document: Document) => Document;
  /** How many trials, each at another phase of tick, turns and PWM. */
  readonly trials: number;
  /** Runs one trial on a bench that is started; leaves it ready for the next. */
  readonly run: (bench: TestBench, trial: number) => Promise<Trial>;
}

/** A fault that strikes while everything flows. */
export interface FlowFault {
  readonly row: string;
  readonly fault: string;
  readonly apply: (bench: TestBench) => void;
  /** Takes the fault away; everything good is set after it in any case. */
  readonly undo?: (bench: TestBench) => void;
  /** When what is judged began, ns, if that is not when the fault was applied. */
  readonly causeNs?: (bench: TestBench, appliedNs: number) => number;
  /** What the row's time counts from, us after the cause, where the fault itself decides: the next pulse, say. */
  readonly plusUs?: (bench: TestBench) => number;
  /** Row of a second fault that strikes with the first, where that one is quicker: the pins must be low in its time. */
  readonly soonerRow?: string;
  /** How long it is looked at, us, where that is more than usual. */
  readonly lookUs?: (bench: TestBench) => number;
  /** Waits for the moment from which the fault may be applied, for those that need one. */
  readonly until?: (bench: TestBench) => void;
  /** Rows that may hold flow off beside this one, because the same cause meets them. */
  readonly also?: readonly string[];
  readonly fits?: (settings: ProofSettings) => boolean;
  readonly change?: (document: Document) => Document;
  readonly trials?: number;
}

/** Phases in microseconds, spread over a tick, the four turns and a PWM period. */
const PHASES_US = [130, 13_410, 27_690, 41_970, 6_250, 19_880] as const;
/** Usual number of trials. */
export const TRIALS = 6;

/** Offset of a trial from a tick under steady flow, us. */
export function phaseUs(trial: number): number {
  return PHASES_US[trial % PHASES_US.length]!;
}
