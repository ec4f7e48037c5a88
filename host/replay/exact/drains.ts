// Codes of the drains' converter that a tick takes for the same as those which it had: a stream says only on which side of three limits each was.
import { DRAIN_CODES } from "#shared-schema/model/drains.ts";

const PINS = [0, 1, 2, 3, 4, 5, 6, 7] as const;
const [LOADS, CONDUCTS, HALF, ALL] = [1, 2, 4, 7] as const;
const WIDTH = 3;
const FULL = 4095;
const { conducting, loaded } = DRAIN_CODES;

const sides = (code: number, supply: number): number =>
  (code >= loaded ? LOADS : 0) | (code < conducting ? CONDUCTS : 0) | (2 * code < supply ? HALF : 0);

/** A code on these sides; where there is none, because a tick did not look at the last, one on the first two. */
function codeOn(wanted: number, supply: number): number {
  const half = Math.ceil(supply / 2);
  const candidates = [0, FULL, conducting, loaded, half, Math.max(half - 1, 0), conducting - 1, loaded - 1];
  const on = (bits: number): number | undefined =>
    candidates.find((code) => ((sides(code, supply) ^ wanted) & bits) === 0);
  const under = candidates.findLast((code) => ((sides(code, supply) ^ wanted) & (LOADS | CONDUCTS)) === 0);
  return on(ALL) ?? under ?? on(LOADS)!;
}

/** One code for each pin. `levels`: one bit a pin; `unexpected`: three bits a pin, as the stream has them. */
export function drainCodes(levels: number, unexpected: number, supply: number): number[] {
  return PINS.map((n) => {
    const expected = (levels >> n) & 1 ? CONDUCTS | HALF : LOADS;
    return codeOn(expected ^ ((unexpected >> (n * WIDTH)) & ALL), supply);
  });
}
