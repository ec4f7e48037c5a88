// Judges a settings block of words by the table and the rules: the same order and the same verdict as the control core.

import { inUse, WORDS, type Word, wordAt } from "../settings/words.ts";
import { RULES, type Rule } from "./rules.ts";

/** What is wrong with a block: where, and by which rule (`limit`, `unused`, or the id of a rule). */
export interface Finding {
  readonly path: string;
  readonly rule: string;
  readonly text: string;
}

/** A rule with its paths looked up, so that judging it is arithmetic only. */
interface Compiled {
  readonly rule: Rule;
  readonly blame: Word;
  readonly when: readonly { readonly word: Word; readonly value: number }[];
  readonly terms: readonly { readonly factor: number; readonly words: readonly Word[] }[];
}

function compile(rule: Rule): Compiled {
  return {
    rule,
    blame: wordAt(rule.blame),
    when: rule.when.map((c) => ({ word: wordAt(c.field), value: c.value })),
    terms: rule.terms.map((t) => ({ factor: t.factor, words: t.fields.map(wordAt) })),
  };
}

const COMPILED = RULES.map(compile);

/** The limits of one word. Undefined when it is right. */
function validateWord(word: Word, values: ArrayLike<number>): Finding | undefined {
  const value = values[word.index] ?? 0;
  if (!inUse(word, values)) {
    return value === 0
      ? undefined
      : { path: word.path, rule: "unused", text: "must be 0 while it is not in use" };
  }
  if (value >= word.min && value <= word.max) return undefined;
  return { path: word.path, rule: "limit", text: `must lie from ${word.min} to ${word.max}` };
}

function validateRule(c: Compiled, values: ArrayLike<number>, bad: ReadonlySet<number>): Finding | undefined {
  const usable = (w: Word): boolean => inUse(w, values) && !bad.has(w.index);
  if (!c.when.every((w) => usable(w.word) && values[w.word.index] === w.value)) return undefined;
  if (!c.terms.every((t) => t.words.every(usable))) return undefined;
  let sum = c.rule.constant;
  for (const t of c.terms) sum += t.words.reduce((product, w) => product * (values[w.index] ?? 0), t.factor);
  return sum <= 0 ? undefined : { path: c.blame.path, rule: c.rule.id, text: c.rule.text };
}

/**
 * Everything that is wrong with a block, limits first in stored order, then rules in theirs. A rule with a field out of
 * its limits is not judged. The first entry is the one that the control core names.
 */
export function validate(values: ArrayLike<number>): Finding[] {
  const bad = new Set<number>();
  const findings: Finding[] = [];
  for (const word of WORDS) {
    const finding = validateWord(word, values);
    if (finding) {
      bad.add(word.index);
      findings.push(finding);
    }
  }
  for (const c of COMPILED) {
    const finding = validateRule(c, values, bad);
    if (finding) findings.push(finding);
  }
  return findings;
}
