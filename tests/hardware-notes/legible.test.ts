// Labels of the drawings lie inside the picture and on nothing else: no label covers another, a part or a line.
import { readdirSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { noteText } from "./values.ts";

interface Box {
  readonly name: string;
  readonly left: number;
  readonly top: number;
  readonly right: number;
  readonly bottom: number;
}

const SIZES: Readonly<Record<string, number>> = { h: 20, s: 13, "": 15 };
/** Width of a letter as a share of the size: what the widest usual sans-serif font needs. */
const LETTER = 0.6;
const SHIFT: Readonly<Record<string, number>> = { start: 0, middle: 0.5, end: 1 };

const attribute = (tag: string, name: string): string =>
  new RegExp(` ${name}="([^"]*)"`).exec(tag)?.[1] ?? "";

function labels(text: string): Box[] {
  return [...text.matchAll(/<text([^>]*)>([^<]*)</g)].map(([, tag, name]) => {
    const size = SIZES[attribute(tag!, "class")]!;
    const width = name!.length * size * LETTER;
    const left = Number(attribute(tag!, "x")) - SHIFT[attribute(tag!, "text-anchor") || "start"]! * width;
    const base = Number(attribute(tag!, "y"));
    return { name: name!, left, right: left + width, top: base - 0.8 * size, bottom: base + 0.25 * size };
  });
}

function boxAround(name: string, points: readonly (readonly [number, number])[]): Box {
  const xs = points.map(([x]) => x);
  const ys = points.map(([, y]) => y);
  return {
    name,
    left: Math.min(...xs),
    right: Math.max(...xs),
    top: Math.min(...ys),
    bottom: Math.max(...ys),
  };
}

/** Every straight piece of every line, and the outlines of small rectangles; large ones are boxes with text in them. */
function pieces(text: string): Box[] {
  const lines = [...text.matchAll(/<polyline points="([^"]+)"/g)].flatMap(([, list]) => {
    const points = list!.split(" ").map((pair) => pair.split(",").map(Number) as [number, number]);
    return points.slice(1).map((point, i) => boxAround(`line at ${point}`, [points[i]!, point]));
  });
  const parts = [...text.matchAll(/<rect([^>]*)>/g)].flatMap(([, tag]) => {
    const [x, y, width, height] = ["x", "y", "width", "height"].map((name) => Number(attribute(tag!, name)));
    return width! < 60
      ? [
          boxAround(`part at ${x},${y}`, [
            [x!, y!],
            [x! + width!, y! + height!],
          ]),
        ]
      : [];
  });
  return [...lines, ...parts];
}

const meet = (a: Box, b: Box): boolean =>
  a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;

/** Pairs of a label and what it covers, by name. */
function covered(text: string): string[] {
  const all = labels(text);
  const others = pieces(text);
  return all.flatMap((label, i) =>
    [...all.slice(i + 1), ...others]
      .filter((other) => meet(label, other))
      .map(({ name }) => `${label.name} / ${name}`),
  );
}

const drawings = readdirSync(join(import.meta.dirname, "../../hardware-notes")).filter((file) =>
  file.endsWith(".svg"),
);

describe.each(drawings)("%s", (drawing) => {
  const text = noteText(drawing);
  const [, width, height] = /viewBox="0 0 (\d+) (\d+)"/.exec(text)!;

  test("covers nothing with a label", () => {
    expect(labels(text).length).toBeGreaterThan(5);
    expect(covered(text)).toEqual([]);
  });

  test("keeps its labels inside the picture", () => {
    for (const { name, left, right, bottom } of labels(text))
      expect([name, left >= 0, right <= Number(width), bottom <= Number(height)]).toEqual([
        name,
        true,
        true,
        true,
      ]);
  });
});

test("a label that covers another, or a part, is seen", () => {
  const two = '<text x="10" y="20">first</text><text x="30" y="20">second</text>';
  expect(covered(two)).toEqual(["first / second"]);
  expect(covered('<text x="10" y="20">R4</text><rect x="15" y="10" width="18" height="44"/>')).toHaveLength(
    1,
  );
});
