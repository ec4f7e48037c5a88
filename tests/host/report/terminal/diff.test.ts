// Differences on a screen: in full where there is room, folded where there is not, and never more than the room.
import { expect, test } from "vitest";
import { diffLines } from "#host/report/terminal/diff.ts";
import { paintFor } from "#host/report/terminal/terminal.ts";
import { checkSettings } from "#host/settings/check.ts";
import { diffDocuments } from "#host/settings/diff.ts";
import { exampleDocument } from "#host/settings/example.ts";
import { formatSettings } from "#host/settings/write.ts";

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

test.each([10, 11, 12, 13, 14, 30])("a changed ramp is drawn where %i lines are left", (height) => {
  const before = exampleDocument(1);
  const text = formatSettings(before).replace("[1.5 s, 100 %]", "[1.4 s, 100 %]");
  const { document: after } = checkSettings(text);
  const lines = show(diffDocuments(before, after!), height);
  expect(lines.length).toBeLessThanOrEqual(height);
  expect(lines.filter((line) => /^ {0,2}\d+ % \|/.test(line))).toHaveLength(2);
});

test.each([1, 7, 12, 30])("with %i lines of room what is not shown is counted", (height) => {
  const numbers = MANY.filter(({ before, after }) => before !== "there" && after !== "there");
  const lines = show(numbers, height);
  expect(lines.length).toBeLessThanOrEqual(Math.max(6, height));
  const more = Number(/and (\d+) more/.exec(lines.at(-1)!)?.[1] ?? 0);
  expect(lines.slice(1).filter((line) => line.includes(" -> ")).length + more).toBe(numbers.length);
});
