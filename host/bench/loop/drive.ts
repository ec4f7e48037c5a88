// A run from the first movement to a little after its end, with whoever watches it.

import { TICK_US } from "#shared-schema/model/blocks.ts";
import type { ClosedLoop } from "./closed-loop.ts";
import { AFTER_S, ending, GO_S } from "./script.ts";
import { SlipTimer } from "./time-slip.ts";
import { SaidWatch, SpinWatch } from "./watches.ts";

/** Where a run ends: at a distance, m, or at a time of the loop, s; by itself after a minute. */
export type Until = { readonly distanceM: number } | { readonly atS: number };

/** What every run leaves, whatever else was watched. */
export interface Driven {
  readonly timer: SlipTimer;
  readonly spin: SpinWatch;
  readonly said: SaidWatch;
  /** When the run was over, and when looking ended, s of the loop. */
  readonly overS: number;
  readonly endS: number;
}

export interface DriveOptions {
  readonly until: Until;
  /** Without what a driver does after the end: the script has its own. */
  readonly endsByItself?: boolean;
  /** The run is given up once a wheel goes beyond the slip of the best grip. */
  readonly endsAtSpin?: boolean | undefined;
  /** Called after each step. */
  readonly watch?: (loop: ClosedLoop) => void;
  /** Told how much of the run is over, 0 to 1. */
  readonly onProgress?: (share: number) => void;
}

const STEP_S = TICK_US / 1e6;
const LONGEST_S = 60;
const PROGRESS_EVERY = 100;

function shareDone(loop: ClosedLoop, until: Until): number {
  return "distanceM" in until ? loop.motion.distanceM / until.distanceM : loop.nowS / until.atS;
}

function isOver(loop: ClosedLoop, until: Until): boolean {
  return shareDone(loop, until) > 1 - 1e-9 || loop.nowS >= GO_S + LONGEST_S;
}

/** Drives a loop to its end: arm switch off at speed, pedal up. */
export function drive(loop: ClosedLoop, options: DriveOptions): Driven {
  const { until, endsByItself, endsAtSpin, watch, onProgress } = options;
  const timer = new SlipTimer();
  const spin = new SpinWatch();
  const said = new SaidWatch();
  const step = (): void => {
    loop.step();
    said.look(loop);
    watch?.(loop);
  };
  while (!isOver(loop, until)) {
    step();
    timer.look(loop.motion, STEP_S);
    spin.look(loop, STEP_S);
    if (endsAtSpin && spin.isOver) break;
    if (loop.steps % PROGRESS_EVERY === 0) onProgress?.(Math.min(1, shareDone(loop, until)));
  }
  const overS = loop.nowS;
  if (endsByItself || (endsAtSpin && spin.isOver)) return { timer, spin, said, overS, endS: overS };
  const last = ending(overS);
  loop.reader.append(last);
  const endS = last.at(-1)!.atS + AFTER_S;
  while (loop.nowS < endS) step();
  return { timer, spin, said, overS, endS };
}
