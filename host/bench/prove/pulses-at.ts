// Moments on the two pulse wires: the next rising edge, to a few microseconds, and single extra pulses between the regular ones.
import { gpioOf } from "#shared-schema/model/pins.ts";
import type { TestBench } from "./test-bench.ts";

const STEP_US = 5;
const LONGEST_US = 200_000;
const WIDTH_US = 40;

/** Runs until the wire has just risen. Throws when it does not: the caller has stopped its pulses. */
export function toNextPulse(bench: TestBench, pinName: "enginePulse" | "roadPulse"): void {
  const { board } = bench;
  const gpio = gpioOf(pinName);
  const high = (): boolean => board.harness.inputLevel(gpio) === 1;
  const fell = board.runUntil(() => !high(), LONGEST_US, STEP_US);
  if (!fell || !board.runUntil(high, LONGEST_US, STEP_US)) throw new Error(`no pulse at ${pinName}`);
}

/** A short pulse of noise, `inUs` from now, on a wire that is low then. */
export function extraPulse(bench: TestBench, pinName: "enginePulse" | "roadPulse", inUs: number): void {
  const { board } = bench;
  const set = (level: 0 | 1) => () => board.harness.setInput(pinName, level);
  board.at(board.nowNs + inUs * 1000, set(1));
  board.at(board.nowNs + (inUs + WIDTH_US) * 1000, set(0));
}
