// Differences on a screen: in full where there is room, folded where there is not, and never more than the room.
import { expect, test } from "vitest";
import { diffLines, inFullCommand } from "#host/report/terminal/diff.ts";
import { paintFor } from "#host/report/terminal/terminal.ts";
import { checkSettings } from "#host/settings/check.ts";
import { diffDocuments } from "#host/settings/diff.ts";
import { exampleDocument } from "#host/settings/example.ts";
import { formatSettings } from "#host/settings/write.ts";

const paint = paintFor({ write: () => true }, {});
const FEW = diffDocuments(exampleDocument(1), { ...exampleDocument(1), road: undefined });
const MANY = diffDocuments(exampleDocument(1), exampleDocument(4, ["bottle", "fuel", "throttle.position"]));

const sides = { before: "controller", after: "file" };
const inFull = inFullCommand("my car.yaml");
const showAt = (changes: typeof MANY, width: number, height: number): string[] =>
  diffLines(changes, { allNew: false, sides, inFull, room: { width, height }, paint });
const show = (changes: typeof MANY, height: number): string[] => showAt(changes, 80, height);

test("in a pipe each difference has its old and its new value", () => {
  const lines = show(MANY, Number.POSITIVE_INFINITY);
  expect(lines[0]).toBe(`${MANY.length} settings differ:`);
  for (const { field } of MANY) expect(lines).toContain(field);
  expect(FEW).toEqual([]);
});

test("on a screen the count and every group stay in sight", () => {
  const lines = show(MANY, 20);
  expect(lines.length).toBeLessThanOrEqual(20);
  expect(lines[0]).toBe(`${MANY.length} settings differ:`);
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

/** So many ramps are other than before, and so many numbers. */
function changed(ramps: number, numbers: number): typeof MANY {
  const before = exampleDocument(2);
  const [first, second] = ["[1.4 s, 100 %]", ramps > 1 ? "[1.3 s, 100 %]" : "[1.5 s, 100 %]"];
  const text = formatSettings(before).replace("[1.5 s, 100 %]", first!).replace("[1.5 s, 100 %]", second!);
  const { document } = checkSettings(text);
  const other = (n: number): (typeof MANY)[number] => ({
    field: `other.${n}`,
    before: "1 rpm",
    after: "2 rpm",
  });
  return [...Array.from({ length: numbers }, (_, n) => other(n)), ...diffDocuments(before, document!)];
}
const plots = (lines: string[]): number => lines.filter((line) => /^100 % \|/.test(line)).length;

test.each([
  ["80x24, a ramp and a number", 80, 17, changed(1, 1), 1],
  ["80x24, two ramps", 80, 17, changed(2, 0), 2],
  ["80x24, a ramp and six numbers", 80, 17, changed(1, 6), 1],
  ["40x24, one ramp", 40, 13, changed(1, 0), 1],
  ["40x24, one ramp and two numbers", 40, 13, changed(1, 2), 1],
])("%s: the ramps are drawn, all values stand there", (_, width, height, changes, drawn) => {
  const lines = showAt(changes, width, height);
  expect(lines.length).toBeLessThanOrEqual(height);
  expect(plots(lines)).toBe(drawn);
  for (const { field } of changes) expect(lines.join("\n")).toContain(field);
  for (const line of lines) expect(line.length).toBeLessThanOrEqual(width);
});

test("where nothing else fits, changed ramps stand first and the hint is a whole command", () => {
  const lines = showAt(changed(1, 40), 80, 8);
  expect(lines[1]).toMatch(/^stages\.1\.ramps\.1\.points: \[0 s, /);
  expect(lines.at(-1)).toBe("and 36 more; headgate diff --all 'my car.yaml' shows each");
});

test.each([1, 7, 12, 30])("with %i lines of room what is not shown is counted", (height) => {
  const numbers = MANY.filter(({ before, after }) => before !== "there" && after !== "there");
  const lines = show(numbers, height);
  expect(lines.length).toBeLessThanOrEqual(Math.max(6, height));
  const more = Number(/and (\d+) more/.exec(lines.at(-1)!)?.[1] ?? 0);
  expect(lines.slice(1).filter((line) => line.includes(" -> ")).length + more).toBe(numbers.length);
});
