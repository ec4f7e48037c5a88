// Differences on a screen: in full where there is room, folded where there is not, and never more than the room.
import { expect, test } from "vitest";
import { diffLines } from "#host/report/terminal/diff.ts";
import { paintFor } from "#host/report/terminal/terminal.ts";
import { diffDocuments } from "#host/settings/diff.ts";
import { exampleDocument } from "#host/settings/example.ts";

const paint = paintFor({ write: () => true }, {});
const FEW = diffDocuments(exampleDocument(1), { ...exampleDocument(1), road: undefined });
const MANY = diffDocuments(exampleDocument(1), exampleDocument(4, ["bottle", "fuel", "throttle.position"]));

const show = (changes: typeof MANY, height: number): string[] =>
  diffLines(changes, { allNew: false, room: { width: 80, height }, paint });

test("in a pipe each difference has its old and its new value", () => {
  const lines = show(MANY, Number.POSITIVE_INFINITY);
  expect(lines[0]).toBe(`${MANY.length} settings change:`);
  for (const { field } of MANY) expect(lines).toContain(field);
  expect(FEW).toEqual([]);
});

test("on a screen the count and every group stay in sight", () => {
  const lines = show(MANY, 20);
  expect(lines.length).toBeLessThanOrEqual(20);
  expect(lines[0]).toBe(`${MANY.length} settings change:`);
  for (const group of ["stages.2", "stages.4", "bottle", "fuel", "throttle.position"])
    expect(lines.join("\n")).toMatch(
      new RegExp(`^${group.replace(".", "\\.")}: new, with \\d+ settings`, "m"),
    );
});

test.each([1, 7, 12, 30])("with %i lines of room what is not shown is counted", (height) => {
  const numbers = MANY.filter(({ before, after }) => before !== "there" && after !== "there");
  const lines = show(numbers, height);
  expect(lines.length).toBeLessThanOrEqual(Math.max(6, height));
  const more = Number(/and (\d+) more/.exec(lines.at(-1)!)?.[1] ?? 0);
  expect(lines.slice(1).filter((line) => line.includes(" -> ")).length + more).toBe(numbers.length);
});
