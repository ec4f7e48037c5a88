/** Reading quantities: what is written comes back, and nothing half-said or of another dimension passes. */
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { formatQuantity, fromUnit, toUnit } from "#host/units/format.ts";
import { SPELLINGS } from "#host/units/lookup.ts";
import { parseNumber, parseQuantity } from "#host/units/parse.ts";
import { DIMENSION_NAMES, type Dimension, dimensionEntry, type UnitName } from "#host/units/table.ts";

const pairs = DIMENSION_NAMES.flatMap((dimension) =>
  Object.keys(dimensionEntry(dimension).units).map((unit) => ({ dimension, unit: unit as UnitName })),
);
const pair = fc.constantFrom(...pairs);
const number = fc.double({ min: -1e6, max: 1e6, noNaN: true });

function errorOf(input: string | number, ...expected: Dimension[]) {
  const parsed = parseQuantity(input, ...expected);
  if (parsed.ok) throw new Error(`${input} was accepted`);
  return parsed.error;
}

describe("round trips", () => {
  test.prop([number, pair])("a number and its unit come back", (value, { dimension, unit }) => {
    const parsed = parseQuantity(`${value} ${unit}`, dimension);
    if (!parsed.ok) throw new Error(parsed.error.message);
    expect(parsed.value.dimension).toBe(dimension);
    expect(toUnit(parsed.value.value, unit, dimension)).toBeCloseTo(value, 6);
  });

  test.prop([number, pair])(
    "what is formatted is read back to its last digit",
    (value, { dimension, unit }) => {
      const base = fromUnit(value, unit, dimension);
      const parsed = parseQuantity(formatQuantity(base, unit, 3, dimension), dimension);
      if (!parsed.ok) throw new Error(parsed.error.message);
      expect(Math.abs(toUnit(parsed.value.value, unit, dimension) - value)).toBeLessThan(0.000501);
    },
  );

  test.prop([number, fc.constantFrom(...SPELLINGS)])(
    "space between number and unit is free, but before a unit that begins with a digit itself",
    (value, spelling) => {
      fc.pre(!/^\d/.test(spelling));
      expect(parseQuantity(`${value}${spelling}`)).toEqual(parseQuantity(`  ${value}   ${spelling} `));
      expect(parseQuantity(`${value} ${spelling}`).ok).toBe(true);
    },
  );
});

describe("dimension mistakes", () => {
  test.prop([number, pair, fc.constantFrom(...DIMENSION_NAMES)])("never pass", (value, { unit }, wanted) => {
    const parsed = parseQuantity(`${value} ${unit}`, wanted);
    const known = Object.hasOwn(dimensionEntry(wanted).units, unit);
    expect(parsed.ok).toBe(known);
    if (!parsed.ok) {
      expect(parsed.error.code).toBe("wrong-dimension");
      expect(parsed.error.message).toContain(dimensionEntry(wanted).label);
    }
  });

  test.prop([number])("a bare number is refused where a unit is needed", (value) => {
    expect(errorOf(value, "pressure").code).toBe("missing-unit");
    expect(errorOf(`${value}`, "pressure").message).toContain("psi, bar, kPa, MPa or Pa");
  });

  test.prop([fc.string({ maxLength: 12 })])("text never throws, and what passes is finite", (text) => {
    const parsed = parseQuantity(text);
    if (parsed.ok) expect(Number.isFinite(parsed.value.value)).toBe(true);
  });

  test("one dimension may be left to the reader, several may be allowed", () => {
    expect(parseQuantity("5 C", "temperatureDifference")).toMatchObject({ value: { value: 5 } });
    expect(parseQuantity("5 C")).toMatchObject({ value: { dimension: "temperature", value: 278.15 } });
    expect(parseQuantity("500 cc/min", "massFlow", "volumeFlow")).toMatchObject({
      value: { dimension: "volumeFlow" },
    });
  });
});

describe("what is wrong is named", () => {
  test.each([
    ["950 pis", "unknown-unit", "psi"],
    ["950 mpa", "unknown-unit", "MPa"],
    ["950 mPa", "unknown-unit", "MPa"],
    ["30 Mph", "unknown-unit", "mph"],
    ["30 kmhh", "unknown-unit", "km/h"],
  ])("%s: %s, nearest %s", (text, code, nearest) => {
    expect(errorOf(text)).toMatchObject({ code, nearest });
  });

  test.each([
    ["fast", "not-a-number"],
    ["", "not-a-number"],
    ["1e999 psi", "not-a-number"],
    ["NaN psi", "not-a-number"],
    ["3,5 bar", "decimal-comma"],
    ["3,200 rpm", "decimal-comma"],
    ["950 psi gauge gauge", "unknown-unit"],
    ["950 psig absolute", "unexpected-reference"],
    ["30 mph gauge", "unexpected-reference"],
    ["950 gauge", "missing-unit"],
    ["12 qqqqqqqq", "unknown-unit"],
  ])("%s: %s", (text, code) => {
    expect(errorOf(text).code).toBe(code);
  });

  test("a far-off unit gets no suggestion", () => {
    expect(errorOf("12 qqqqqqqq").nearest).toBeUndefined();
  });
});

describe("pressure reference", () => {
  test.each([
    ["950 psi gauge", "gauge"],
    ["950 psig", "gauge"],
    ["65.5 bar absolute", "absolute"],
    ["1050.8 psia", "absolute"],
    ["950 psi", undefined],
  ])("%s", (text, reference) => {
    const parsed = parseQuantity(text, "pressure");
    expect(parsed.ok && parsed.value.reference).toBe(reference);
  });
});

describe("plain numbers", () => {
  test.prop([number])("pass without a unit and only so", (value) => {
    expect(parseNumber(value)).toEqual({ ok: true, value: Number(String(value)) });
    const refused = parseNumber(`${value} bar`);
    expect(!refused.ok && refused.error.code).toBe("unexpected-unit");
  });
});
