// Judges a settings block by the generated limits and rules, in the same order as the host, and names the first fault.
import * as R from "./generated/rules";
import { STAGES, STAGES_COUNT } from "./generated/settings";

/** Index of the word and number of the rule that the last judgement found wrong. */
let wrongWord: u32 = 0;
let wrongRule: u32 = 0;

export function faultWord(): u32 {
  return wrongWord;
}

export function faultRule(): u32 {
  return wrongRule;
}

function fault(word: u32, rule: u32): bool {
  wrongWord = word;
  wrongRule = rule;
  return false;
}

function resolve(index: u32, stageBase: u32): u32 {
  return index & R.STAGE_RELATIVE ? (index & ~R.STAGE_RELATIVE) + stageBase : index;
}

function word(block: usize, index: u32): u32 {
  return load<u16>(block + ((index as usize) << 1));
}

/** One row of a limits table: the word must lie in its limits, or be 0 while its guard says that it is not in use. */
function limitHolds(block: usize, row: usize, index: u32, stageBase: u32, owned: bool): bool {
  const value = word(block, index);
  const guard = load<u16>(row + 4);
  const used = owned && (guard === R.NONE || word(block, resolve(guard, stageBase)) > load<u16>(row + 6));
  if (!used) return value === 0 ? true : fault(index, R.RULE_UNUSED);
  if (value >= load<u16>(row) && value <= load<u16>(row + 2)) return true;
  return fault(index, R.RULE_LIMIT);
}

function limitsHold(block: usize, table: usize, rows: u32, first: u32, owned: bool): bool {
  for (let i: u32 = 0; i < rows; i++) {
    if (!limitHolds(block, table + ((i as usize) << 3), first + i, first, owned)) return false;
  }
  return true;
}

/** Is the word in use? The same rows answer, by the guard alone. */
function inUse(block: usize, index: u32, stageBase: u32): bool {
  const ofStage = (index & R.STAGE_RELATIVE) !== 0;
  const row = ofStage
    ? R.LIMITS_STAGE + (((index & ~R.STAGE_RELATIVE) as usize) << 3)
    : R.LIMITS_PLAIN + ((index as usize) << 3);
  const guard = load<u16>(row + 4);
  return guard === R.NONE || word(block, resolve(guard, stageBase)) > load<u16>(row + 6);
}

/** Where the next rule begins; set by every judgement of a rule. */
let nextRule: usize = 0;

function pair(at: usize): i32 {
  return load<u16>(at) | ((load<u16>(at + 2) as i32) << 16);
}

function conditionsHold(block: usize, at: usize, count: u32, stageBase: u32): bool {
  for (let i: u32 = 0; i < count; i++) {
    const field = load<u16>(at);
    if (!inUse(block, field, stageBase) || word(block, resolve(field, stageBase)) !== load<u16>(at + 2))
      return false;
    at += 4;
  }
  return true;
}

function termsInUse(block: usize, at: usize, count: u32, stageBase: u32): bool {
  for (let i: u32 = 0; i < count; i++) {
    const second = load<u16>(at + 2);
    if (!inUse(block, load<u16>(at), stageBase)) return false;
    if (second !== R.NONE && !inUse(block, second, stageBase)) return false;
    at += 8;
  }
  return true;
}

function sumOf(block: usize, at: usize, count: u32, stageBase: u32): i32 {
  let sum: i32 = 0;
  for (let i: u32 = 0; i < count; i++) {
    const second = load<u16>(at + 2);
    let product = pair(at + 4) * (word(block, resolve(load<u16>(at), stageBase)) as i32);
    if (second !== R.NONE) product *= word(block, resolve(second, stageBase)) as i32;
    sum += product;
    at += 8;
  }
  return sum;
}

/** One rule: number, blamed word, conditions, terms, constant; then the conditions and the terms themselves. */
function ruleHolds(block: usize, rule: usize, stageBase: u32): bool {
  const conditions = load<u16>(rule + 4);
  const terms = load<u16>(rule + 6);
  const conditionsAt = rule + 12;
  const termsAt = conditionsAt + ((conditions as usize) << 2);
  nextRule = termsAt + ((terms as usize) << 3);
  if (!conditionsHold(block, conditionsAt, conditions, stageBase)) return true;
  if (!termsInUse(block, termsAt, terms, stageBase)) return true;
  if (pair(rule + 8) + sumOf(block, termsAt, terms, stageBase) <= 0) return true;
  return fault(resolve(load<u16>(rule + 2), stageBase), load<u16>(rule));
}

function rulesHold(block: usize, table: usize, count: u32, stageBase: u32): bool {
  let rule = table;
  for (let i: u32 = 0; i < count; i++) {
    if (!ruleHolds(block, rule, stageBase)) return false;
    rule = nextRule;
  }
  return true;
}

function stageBase(s: u32): u32 {
  return R.STAGE_FIRST_WORD + s * R.STAGE_WORDS;
}

/** Does the block at `block` keep to every limit and rule? The first fault is kept for `faultWord` and `faultRule`. */
export function judge(block: usize): bool {
  if (!limitsHold(block, R.LIMITS_PLAIN, R.PLAIN_LIMITS, 0, true)) return false;
  const count = load<u16>(block + STAGES_COUNT);
  for (let s: u32 = 0; s < STAGES; s++) {
    if (!limitsHold(block, R.LIMITS_STAGE, R.STAGE_LIMITS, stageBase(s), s < count)) return false;
  }
  if (!rulesHold(block, R.RULES_PLAIN, R.PLAIN_RULES, 0)) return false;
  for (let s: u32 = 0; s < count; s++) {
    if (!rulesHold(block, R.RULES_STAGE, R.STAGE_RULES, stageBase(s))) return false;
  }
  return true;
}
