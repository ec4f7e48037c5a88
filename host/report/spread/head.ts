// What belongs to all runs of a spread: the head of its file, and the first lines of its report.
import type { SpreadPlan } from "#host/bench/loop/spread.ts";

/** Head of a spread. Parts of one spread have the same. */
export interface SpreadHead {
  readonly format: "headgate-spread";
  readonly version: 2;
  readonly settings: string;
  readonly hash: string;
  /** Car file as named; left out for the demo car. */
  readonly car?: string;
  /** SHA-256 of everything that the runs depend on besides the plan. */
  readonly inputs: string;
  /** Whose car it is, in a sentence. */
  readonly whose: string;
  readonly plannedS: number;
  /** Gauge pressure of the bottle as planned. */
  readonly bottlePa: number;
  /** Battery as planned, without load, V. */
  readonly batteryV: number;
  readonly plan: SpreadPlan;
  /** Runs of the whole. */
  readonly all: number;
}
