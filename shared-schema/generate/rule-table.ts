// The table of limits and rules as numbers for the control core; stages share one copy, told apart by an offset.
import { STAGES } from "../model/pins.ts";
import { RULES, type Rule } from "../rules/rules.ts";
import { WORDS, type Word, wordAt } from "../settings/words.ts";

/** Marks an index as counted from the first word of a stage. */
export const STAGE_RELATIVE = 0x8000;
/** Marks the absence of a guard or of a second factor. */
export const NONE = 0x7fff;

const stageStart = (s: number): number => WORDS.findIndex((w) => w.path.startsWith(`stages.${s}.`));
/** Index of the first word of stage 1, and words for each stage. */
export const STAGE_FIRST_WORD = stageStart(0);
export const STAGE_WORDS = stageStart(1) - STAGE_FIRST_WORD;

/** Ids of the rules in the order of their numbers; 0 and 1 are the two of the limits table. */
export const RULE_IDS: readonly string[] = ["limit", "unused", ...new Set(RULES.map((r) => r.id))];

function index(word: Word, stage: number | undefined): number {
  if (word.index < STAGE_FIRST_WORD) return word.index;
  if (stage === undefined) throw new Error(`${word.path} is used outside its stage`);
  const inStage = word.index - STAGE_FIRST_WORD - stage * STAGE_WORDS;
  if (inStage < 0 || inStage >= STAGE_WORDS) throw new Error(`${word.path} lies outside stage ${stage}`);
  return inStage | STAGE_RELATIVE;
}

/** min, max, guard index, guard above. The guard of a whole stage (on the stage count) is left to the core. */
function wordRow(word: Word, stage: number | undefined): number[] {
  const guard = word.guard;
  const onStageCount = guard?.index === STAGE_FIRST_WORD - 1;
  if (guard === undefined || onStageCount) return [word.min, word.max, NONE, 0];
  return [word.min, word.max, index(byIndex(guard.index), stage), guard.above];
}

function byIndex(i: number): Word {
  const word = WORDS[i];
  if (!word) throw new Error(`no word ${i}`);
  return word;
}

const half = (n: number): [number, number] => [n & 0xffff, (n >> 16) & 0xffff];

function ruleRow(rule: Rule, stage: number | undefined): number[] {
  const at = (path: string): number => index(wordAt(path), stage);
  return [
    RULE_IDS.indexOf(rule.id),
    at(rule.blame),
    rule.when.length,
    rule.terms.length,
    ...half(rule.constant),
    ...rule.when.flatMap((c) => [at(c.field), c.value]),
    ...rule.terms.flatMap((t) => [
      at(t.fields[0]),
      t.fields[1] === undefined ? NONE : at(t.fields[1]),
      ...half(t.factor),
    ]),
  ];
}

/** Rows for the plain part and for one stage. Throws unless all stages have the same rows. */
function split<T>(
  items: readonly T[],
  stageOf: (item: T) => number | undefined,
  row: (item: T, stage: number | undefined) => number[],
): { plain: number[]; stage: number[]; plainRows: number; stageRows: number } {
  const rows = (stage: number | undefined): number[][] =>
    items.filter((i) => stageOf(i) === stage).map((i) => row(i, stage));
  const first = rows(0);
  for (let s = 1; s < STAGES; s++) {
    if (JSON.stringify(rows(s)) !== JSON.stringify(first)) throw new Error(`stage ${s} differs from stage 0`);
  }
  const plain = rows(undefined);
  return { plain: plain.flat(), stage: first.flat(), plainRows: plain.length, stageRows: first.length };
}

const stageOfPath = (path: string): number | undefined => {
  const match = /^stages\.(\d)\./.exec(path);
  return match ? Number(match[1]) : undefined;
};

/** A rule belongs to the stage of any of its fields; one that joins two stages cannot be written. */
function stageOfRule(rule: Rule): number | undefined {
  const paths = [...rule.terms.flatMap((t) => t.fields as readonly string[]), rule.blame];
  return paths.map(stageOfPath).find((stage) => stage !== undefined);
}

/** The limits table. */
export const limitRows = () => split(WORDS, (w) => stageOfPath(w.path), wordRow);
/** The rules table. */
export const ruleRows = () => split(RULES, stageOfRule, ruleRow);

/** Largest absolute value that the sum of a rule can take on its way; every partial sum must fit 32 bits. */
export function ruleReach(rule: Rule): number {
  const reach = (path: string): number => wordAt(path).max;
  return rule.terms.reduce(
    (n, t) => n + Math.abs(t.factor) * t.fields.reduce((p, f) => p * reach(f), 1),
    Math.abs(rule.constant),
  );
}

/** Throws when any rule could leave a signed 32-bit integer for values within their limits, or any word 16 bits. */
export function proveProducts(): void {
  for (const rule of RULES) {
    if (ruleReach(rule) >= 2 ** 31) throw new Error(`rule ${rule.id} on ${rule.blame} does not fit 32 bits`);
  }
  for (const word of WORDS) {
    if (word.max > 0xffff || word.min < 0) throw new Error(`${word.path} does not fit 16 bits`);
  }
}
