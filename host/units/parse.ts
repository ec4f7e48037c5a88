/** Parses a written quantity to a number in the base unit; anything incomplete is an error, never a guess. */
import { findUnit, SPELLINGS, unitList } from "./lookup.ts";
import { nearestName } from "./nearest.ts";
import { type Dimension, dimensionEntry, type PressureReference } from "./table.ts";

/** A number of known dimension: `value` in the dimension's base unit, `unit` the canonical spelling it was written in. */
export interface Quantity<D extends Dimension = Dimension> {
  readonly value: number;
  readonly unit: string;
  readonly dimension: D;
  /** Only for pressures, only when it was written. `value` is as written: no atmosphere is added. */
  readonly reference?: PressureReference;
}

/** Why a text is not a quantity. */
export type QuantityErrorCode =
  | "not-a-number"
  | "decimal-comma"
  | "missing-unit"
  | "unknown-unit"
  | "wrong-dimension"
  | "unexpected-unit"
  | "unexpected-reference";

/** A refused text: `message` says what was found and what is expected; `nearest` is the closest known unit, if one is close. */
export interface QuantityError {
  readonly code: QuantityErrorCode;
  readonly message: string;
  readonly got: string;
  readonly nearest?: string;
}

/** Outcome of reading: the value, or the reason why not. */
export type Parsed<T> =
  | { readonly ok: true; readonly value: T }
  | { readonly ok: false; readonly error: QuantityError };

const NUMBER = /^([+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?)\s*(.*)$/u;
const REFERENCE = /^(.*?)\s*\b(gauge|absolute)$/u;

function refuse(code: QuantityErrorCode, got: string, message: string, nearest?: string): Parsed<never> {
  return { ok: false, error: { code, got, message, ...(nearest === undefined ? {} : { nearest }) } };
}

function takes(expected: readonly Dimension[]): string {
  if (expected.length === 0) return "a number with its unit";
  return expected.map((d) => `${named(d)} (${unitList(d)})`).join(" or ");
}

/** A dimension with its article. */
function named(dimension: Dimension): string {
  const { label } = dimensionEntry(dimension);
  return `${/^[aeiou]/u.test(label) ? "an" : "a"} ${label}`;
}

function splitNumber(input: string | number): Parsed<{ number: number; rest: string; text: string }> {
  const text = String(input).trim().replace(/\s+/gu, " ");
  const match = NUMBER.exec(text);
  if (match === null || !Number.isFinite(Number(match[1]))) {
    return refuse("not-a-number", text, `"${text}" does not start with a number`);
  }
  const rest = match[2]!;
  if (/^,\d/u.test(rest)) {
    return refuse(
      "decimal-comma",
      text,
      `"${text}" has a comma in its number; write a point for a decimal comma, and nothing between thousands`,
    );
  }
  return { ok: true, value: { number: Number(match[1]), rest, text } };
}

function splitReference(rest: string): { spelling: string; reference?: PressureReference } {
  const match = REFERENCE.exec(rest);
  return match === null
    ? { spelling: rest }
    : { spelling: match[1]!, reference: match[2] as PressureReference };
}

function unknownUnit(text: string, spelling: string, expected: readonly Dimension[]): Parsed<never> {
  const nearest = nearestName(spelling, SPELLINGS);
  const hint = nearest === undefined ? "" : `; nearest known: "${nearest}"`;
  return refuse(
    "unknown-unit",
    text,
    `unknown unit "${spelling}"${hint}; expected ${takes(expected)}`,
    nearest,
  );
}

/**
 * Reads a quantity such as `950 psi gauge`. With `expected` given, only those dimensions pass, and spellings that
 * several dimensions share (C, F, K) are read as the expected one; without it the first that knows the spelling wins.
 */
export function parseQuantity<const D extends Dimension = Dimension>(
  input: string | number,
  ...expected: readonly D[]
): Parsed<Quantity<D>> {
  const split = splitNumber(input);
  if (!split.ok) return split;
  const { number, rest, text } = split.value;
  const { spelling, reference: said } = splitReference(rest);
  if (spelling === "")
    return refuse("missing-unit", text, `"${text}" has no unit; expected ${takes(expected)}`);
  const found = findUnit(spelling, expected);
  if (found === undefined) return unknownUnit(text, spelling, expected);
  const { dimension, name, unit } = found;
  if (expected.length > 0 && !(expected as readonly Dimension[]).includes(dimension)) {
    const message = `"${text}" is ${named(dimension)}; expected ${takes(expected)}`;
    return refuse("wrong-dimension", text, message);
  }
  const twice = said !== undefined && found.reference !== undefined;
  if (said !== undefined && (dimension !== "pressure" || twice)) {
    const why = twice ? "gives its reference twice" : `is not a pressure: "${said}" has no meaning here`;
    return refuse("unexpected-reference", text, `"${text}" ${why}`);
  }
  const reference = said ?? found.reference;
  const value = (number + (unit.offset ?? 0)) * unit.factor;
  const quantity = { value, unit: name, dimension: dimension as D };
  return { ok: true, value: reference === undefined ? quantity : { ...quantity, reference } };
}

/** Reads a plain number that takes no unit, such as a lambda, a gear ratio or a count. */
export function parseNumber(input: string | number): Parsed<number> {
  const split = splitNumber(input);
  if (!split.ok) return split;
  const { number, rest, text } = split.value;
  if (rest === "") return { ok: true, value: number };
  return refuse("unexpected-unit", text, `"${text}" must be a plain number without a unit; found "${rest}"`);
}
