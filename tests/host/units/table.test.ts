/** The unit table against NIST Special Publication 811 (2008), appendix B.8, and its own order. */
import { describe, expect, test } from "vitest";
import { ATMOSPHERE_PA } from "#host/units/constants.ts";
import { fromUnit, toUnit } from "#host/units/format.ts";
import { editDistance, nearestName } from "#host/units/nearest.ts";
import { parseQuantity } from "#host/units/parse.ts";
import { absolutePa, gaugePa } from "#host/units/pressure.ts";
import { DIMENSION_NAMES, dimensionEntry, type UnitName } from "#host/units/table.ts";

describe("factors printed in NIST SP 811 (2008) B.8, quoted from memory to the digits given", () => {
  test.each<[UnitName, number]>([
    ["psi", 6894.757],
    ["mph", 0.44704],
    ["hp", 745.6999],
    ["PS", 735.4988],
    ["lb-ft", 1.355818],
    ["lbf", 4.448222],
    ["lb", 0.45359237],
    ["oz", 0.02834952],
    ["in2", 6.4516e-4],
    ["mile", 1609.344],
    ["lb/h", 1.259979e-4],
    ["lb/min", 7.559873e-3],
  ])("%s", (unit, factor) => {
    expect(fromUnit(1, unit) / factor).toBeCloseTo(1, 6);
  });

  test("Fahrenheit meets Celsius at -40 and 100 C is 212 F", () => {
    expect(fromUnit(-40, "F")).toBeCloseTo(fromUnit(-40, "C"), 9);
    expect(toUnit(373.15, "F")).toBeCloseTo(212, 9);
    expect(fromUnit(9, "F", "temperatureDifference")).toBeCloseTo(5, 12);
  });
});

/** Dimensions whose base nobody writes. */
const NO_WRITTEN_BASE: readonly string[] = ["ratio", "ratioRate", "gearSpeed"];

describe("the table itself", () => {
  test.each(DIMENSION_NAMES)("%s has its base unit with factor 1, or a base named in words", (dimension) => {
    const { base, units } = dimensionEntry(dimension);
    const entry = units[base];
    if (NO_WRITTEN_BASE.includes(dimension)) expect(entry).toBeUndefined();
    else expect(entry?.factor === 1 && (entry.offset ?? 0) === 0).toBe(true);
  });

  test("a unit that the dimension does not have throws", () => {
    expect(() => toUnit(1, "psi", "speed")).toThrow(RangeError);
  });
});

describe("pressure reference", () => {
  const read = (text: string) => {
    const parsed = parseQuantity(text, "pressure");
    if (!parsed.ok) throw new Error(parsed.error.message);
    return parsed.value;
  };

  test("the atmosphere is added once", () => {
    expect(absolutePa(read("900 psi gauge"), "absolute")).toBeCloseTo(6_306_606.6, 0);
    expect(absolutePa(read("900 psi"), "gauge")).toBe(absolutePa(read("900 psig"), "absolute"));
    expect(absolutePa(read("1 bar"), "absolute")).toBe(1e5);
    expect(gaugePa(read("0 psi absolute"), "gauge")).toBe(-ATMOSPHERE_PA);
  });
});

describe("nearest name", () => {
  test("a swap of neighbours counts once, as a change does", () => {
    expect(editDistance("pis", "psi")).toBe(1);
    expect(editDistance("kitten", "sitting")).toBe(3);
    expect(editDistance("", "abc")).toBe(3);
  });

  test("only close names are suggested", () => {
    expect(nearestName("enigne", ["engine", "gears"])).toBe("engine");
    expect(nearestName("colour", ["engine", "gears"])).toBeUndefined();
  });
});
