// Which functions of the control core a test runs: a bit for each, in words of 32.

/** Words that the core tells them in. */
export const SEEN_WORDS = 16;

/** Does a set of functions hold this one? */
export function hasSeen(seen: readonly number[], body: number): boolean {
  return ((seen[body >> 5]! >>> (body & 31)) & 1) === 1;
}
