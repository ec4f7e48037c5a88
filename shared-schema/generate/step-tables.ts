// The tables of test points in hardware-notes/first-power-up.md, one or more for each step.
import { CIRCUIT, endAt } from "../circuit/circuit.ts";
import { TEST_TABLES, type TestPoint, type TestTable } from "../circuit/test-points.ts";
import { table } from "./markdown.ts";

/** A number with its unit, thousands of ohms as kohm. */
function written(n: number, unit: TestPoint["unit"]): string {
  if (unit === "ohm" && n >= 1000) return `${n / 1000} kohm`;
  return `${n} ${unit}`;
}

const netAt = (at: string): string => (at.includes(".") ? endAt(CIRCUIT, at).pin.net : "its current");

const row = ({ at, unit, expect, low, high, from, otherwise }: TestPoint): string[] => [
  at,
  netAt(at),
  written(expect, unit),
  `${written(low, unit)} to ${written(high, unit)}`,
  `[${from}]`,
  otherwise,
];

const HEAD = ["at", "net", "shows", "good", "source", "otherwise look at"];
const one = ({ when, points }: TestTable): string => `${when}:\n\n${table(HEAD, points.map(row))}`;

/** Text for a step. */
export const stepTables = (step: number): string =>
  TEST_TABLES.filter((each) => each.step === step)
    .map(one)
    .join("\n");
