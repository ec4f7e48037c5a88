// Even random numbers out of a seed, so that a failing case can be run again.
import { fc } from "@fast-check/vitest";

/** Numbers from 0 up to but not including 1; the mixing steps are those of mulberry32 (public domain, T. Ettinger). */
export function diceOf(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let t = Math.imul(state ^ (state >>> 15), state | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 2 ** 32;
  };
}

export const seed = fc.integer({ min: 0, max: 2 ** 31 });
