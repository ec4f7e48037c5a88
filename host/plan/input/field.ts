/** Building blocks of the car file's schema: text with a unit to a number in base units, with limits and an example each. */
import * as z from "zod";
import { fromUnit, toUnit } from "#host/units/format.ts";
import { type Parsed, parseNumber, parseQuantity, type Quantity } from "#host/units/parse.ts";
import type { Dimension, UnitName } from "#host/units/table.ts";

/** The remedy that an error of a field carries: how to write the value correctly. */
export interface Remedy {
  readonly remedy: string;
}

type Context = {
  addIssue: (issue: { code: "custom"; message: string; params: Remedy; input: unknown }) => void;
};

function fail(ctx: Context, input: unknown, message: string, remedy: string): typeof z.NEVER {
  ctx.addIssue({ code: "custom", message, params: { remedy }, input });
  return z.NEVER;
}

const scalar = (example: string) =>
  z.union([z.string(), z.number()], {
    error: (issue) =>
      issue.input === undefined
        ? `is missing; for example ${example}`
        : `must be a single value, for example ${example}`,
  });

function inRange(
  ctx: Context,
  input: unknown,
  value: number,
  range: readonly [number, number],
  unit: string,
  example: string,
) {
  const [least, most] = range;
  if (value >= least && value <= most) return true;
  const message = `${input} is outside ${least} to ${most} ${unit}`.trimEnd();
  fail(ctx, input, message, `write a value in that range, for example ${example}`);
  return false;
}

/** A quantity of one dimension, in base units. `range` is in `unit`. */
export function quantity(
  dimension: Dimension,
  unit: UnitName,
  range: readonly [number, number],
  example: string,
) {
  return scalar(example).transform((input, ctx): number => {
    const parsed: Parsed<Quantity> = parseQuantity(input, dimension);
    if (!parsed.ok) return fail(ctx, input, parsed.error.message, `write for example ${example}`);
    const { value } = parsed.value;
    return inRange(ctx, input, toUnit(value, unit, dimension), range, unit, example) ? value : z.NEVER;
  });
}

/** A pressure with its reference: as written, or gauge where the example says so. `range` is in psi. */
export function pressure(range: readonly [number, number], example: string) {
  return scalar(example).transform((input, ctx): Quantity<"pressure"> => {
    const parsed = parseQuantity(input, "pressure");
    if (!parsed.ok) return fail(ctx, input, parsed.error.message, `write for example ${example}`);
    const psi = toUnit(parsed.value.value, "psi");
    return inRange(ctx, input, psi, range, "psi", example) ? parsed.value : z.NEVER;
  });
}

/** A plain number without a unit. */
export function plain(range: readonly [number, number], example: string) {
  return scalar(example).transform((input, ctx): number => {
    const parsed = parseNumber(input);
    if (!parsed.ok) return fail(ctx, input, parsed.error.message, `write for example ${example}`);
    return inRange(ctx, input, parsed.value, range, "", example) ? parsed.value : z.NEVER;
  });
}

/** A whole number. */
export const whole = (range: readonly [number, number], example: string) =>
  plain(range, example).refine((value) => Number.isInteger(value), { error: "must be a whole number" });

/** One of a few words. */
export const word = <const T extends readonly [string, ...string[]]>(words: T) =>
  z.enum(words, {
    error: (issue) =>
      issue.input === undefined
        ? `is missing; choose one of: ${words.join(", ")}`
        : `must be one of: ${words.join(", ")}`,
  });

/** A part's limit: a torque, Nm, or an engine power, W. */
export function partLimit(example: string) {
  return scalar(example).transform((input, ctx): { torqueNm?: number; powerW?: number } => {
    const parsed = parseQuantity(input, "torque", "power");
    if (!parsed.ok) return fail(ctx, input, parsed.error.message, `write for example ${example}`);
    const { value, dimension } = parsed.value;
    if (!(value > 0)) return fail(ctx, input, `${input} must be above zero`, `write for example ${example}`);
    return dimension === "torque" ? { torqueNm: value } : { powerW: value };
  });
}

/** Tyre size as printed on its sidewall, `245/40-17`, or a diameter; gives the diameter, m. */
export function tyre(example: string) {
  return scalar(example).transform((input, ctx): number => {
    const size = /^(\d{3})\/(\d{2,3})\s*Z?R?-?\s*(\d{2})$/u.exec(String(input).trim());
    if (size !== null) {
      const [width, height, rim] = size.slice(1).map(Number) as [number, number, number];
      return 2 * (width / 1000) * (height / 100) + fromUnit(rim, "in");
    }
    const parsed = parseQuantity(input, "length");
    const remedy = `write a size such as 245/40-17 or a diameter such as ${example}`;
    if (!parsed.ok) return fail(ctx, input, parsed.error.message, remedy);
    return inRange(ctx, input, toUnit(parsed.value.value, "m"), [0.4, 1.1], "m", example)
      ? parsed.value.value
      : z.NEVER;
  });
}
