// Which mistakes would have made a difference where they stand, in a run of a test: a bit for each, in words of 32.

/** Words for so many mistakes, numbered from 1. */
export const wordsFor = (mistakes: number): number => (mistakes >> 5) + 1;

/** Does a set of mistakes hold this one? */
export function hasSeen(seen: readonly number[], mistake: number): boolean {
  return ((seen[mistake >> 5]! >>> (mistake & 31)) & 1) === 1;
}
