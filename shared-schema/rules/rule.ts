// The form of a rule that joins settings, and the short functions that write the usual ones.

/** `factor` x value at `fields[0]` (x value at `fields[1]`). */
export interface Term {
  readonly factor: number;
  readonly fields: readonly [string] | readonly [string, string];
}

/** The rule counts only when the word at `field` equals `value`. */
export interface Condition {
  readonly field: string;
  readonly value: number;
}

/** constant + sum(terms) <= 0 while all of its fields are in use, else `blame` is wrong. Paths are those of `words.ts`. */
export interface Rule {
  readonly id: string;
  readonly blame: string;
  readonly when: readonly Condition[];
  readonly terms: readonly Term[];
  readonly constant: number;
  readonly text: string;
}

export const plus = (field: string, factor = 1): Term => ({ factor, fields: [field] });
export const minus = (field: string, factor = 1): Term => ({ factor: -factor, fields: [field] });

/** a + amount <= b; b is blamed. */
export function gap(id: string, a: string, amount: number, b: string, text: string): Rule {
  return { id, blame: b, when: [], terms: [plus(a), minus(b)], constant: amount, text };
}

/** While `when` holds, the group at `needed` must be there. */
export function needs(
  id: string,
  blame: string,
  when: readonly Condition[],
  needed: string,
  text: string,
): Rule {
  return { id, blame, when, terms: [minus(needed)], constant: 1, text };
}

/** The group at `blame`, when it is there, needs the one at `needed`. */
export function groupNeeds(id: string, blame: string, needed: string, text: string): Rule {
  return needs(id, blame, [{ field: blame, value: 1 }], needed, text);
}
