// The next time that a function of the program is entered: its exact virtual time, and a chance to act just before it runs.
import type { TestBench } from "./test-bench.ts";

const LONGEST_TICK_US = 3_000;

/** Calls `action` once, before the first instruction of a function runs; `ns` then tells when that was. */
export function atNextEntry(bench: TestBench, symbol: string, action: () => void): { ns: number } {
  const { board } = bench;
  const seen = { ns: Number.POSITIVE_INFINITY };
  board.watch(symbol, () => {
    seen.ns = board.nowNs;
    board.unwatch(symbol);
    action();
  });
  return seen;
}

/** Makes the next instruction that runs that of another function. */
export function jumpTo(bench: TestBench, symbol: string): void {
  const { board } = bench;
  board.chip.rp2040.core.PC = board.symbols.find(symbol).address & ~1;
}

/** Runs to the next tick, to about 10 us: the moment after which its outputs reach the pins. */
export function toNextTick({ board }: TestBench): void {
  let seen = false;
  board.watch("pins_apply", () => {
    seen = true;
  });
  board.runUntil(() => seen, LONGEST_TICK_US, 10);
  board.unwatch("pins_apply");
}
