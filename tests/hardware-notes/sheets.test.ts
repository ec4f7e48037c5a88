// The schematic sheets read back from their lines and words: every part once, with value and rating, and every pin on its net.
import { readdirSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { CIRCUIT, endAt } from "#shared-schema/circuit/circuit.ts";
import type { Part } from "#shared-schema/circuit/part.ts";
import { place } from "#shared-schema/layout/layout.ts";
import { HARNESS } from "#shared-schema/sheets/harness.ts";
import { refsOn, SHEETS } from "#shared-schema/sheets/sheets.ts";
import { tableRows } from "../support/markdown.ts";
import { noteText, VALUES } from "./values.ts";

const plain = (text: string): string =>
  text.replaceAll("&lt;", "<").replaceAll("&gt;", ">").replaceAll("&amp;", "&");
const drawn = SHEETS.map(({ file }) => ({ file, text: noteText(`sheets/${file}.svg`) }));
const attribute = (tag: string, name: string): string =>
  new RegExp(` ${name}="([^"]*)"`).exec(tag)?.[1] ?? "";

/** Places that lines join: each place leads to the one that stands for all of them. */
class Joined {
  readonly #up = new Map<string, string>();

  of(spot: string): string {
    const up = this.#up.get(spot);
    return up === undefined || up === spot ? spot : this.of(up);
  }

  join(a: string, b: string): void {
    this.#up.set(this.of(a), this.of(b));
  }
}

/** What a sheet says: for each pin the name written at its wires, or the other pins where no name is written. */
function read(text: string): Map<string, string> {
  const joined = new Joined();
  for (const [, list] of text.matchAll(/<polyline class="n" points="([^"]+)"/g)) {
    const spots = list!.split(" ");
    for (const [i, spot] of spots.slice(1).entries()) joined.join(spots[i]!, spot);
  }
  const names = new Map<string, Set<string>>();
  for (const [, tag, name] of text.matchAll(/<text class="l"([^>]*)>([^<]*)</g)) {
    const at = joined.of(`${attribute(tag!, "data-x")},${attribute(tag!, "data-y")}`);
    names.set(at, (names.get(at) ?? new Set()).add(plain(name!)));
  }
  const pins = [...text.matchAll(/<circle class="p" data-pin="([^"]+)"([^>]*)>/g)].map(
    ([, pin, tag]): [string, string] => [
      plain(pin!),
      joined.of(`${attribute(tag!, "cx")},${attribute(tag!, "cy")}`),
    ],
  );
  const together = (at: string): string =>
    pins
      .filter(([, other]) => other === at)
      .map(([pin]) => pin)
      .sort()
      .join(" ");
  return new Map(
    pins.map(([pin, at]) => [pin, [...(names.get(at) ?? [`unnamed: ${together(at)}`])].join(" and ")]),
  );
}

const all = (): Map<string, string> => new Map(drawn.flatMap(({ text }) => [...read(text)]));
const ends = CIRCUIT.parts.flatMap((part) =>
  part.pins
    .filter(({ net }) => net !== "")
    .map(({ no, net }): [string, string] => [`${part.ref}.${no}`, net]),
);
/** What must be read at a pin: its net's name, or, where none is written, all pins that the net has. */
const unnamed = (net: string): string =>
  `unnamed: ${ends
    .filter(([, one]) => one === net)
    .map(([end]) => end)
    .sort()
    .join(" ")}`;
const wrong = (found: ReadonlyMap<string, string>): string[] =>
  ends
    .filter(([end, net]) => ![net, unnamed(net)].includes(found.get(end) ?? ""))
    .map(([end, net]) => `${end} is at ${net}, drawn at ${found.get(end)}`);

test("every part stands on one sheet, and every pin is drawn on its net", () => {
  expect(SHEETS.flatMap(refsOn).sort()).toEqual(CIRCUIT.parts.map(({ ref }) => ref).sort());
  expect(wrong(all())).toEqual([]);
});

test("a label that is wrong, or a wire that is missing, is seen", () => {
  const { text } = drawn.find(({ file }) => file === "drivers-1")!;
  const others = new Map([...all()].filter(([end]) => !read(text).has(end)));
  const label = text.replace(">nitrous1.buffer<", ">fuel1.buffer<");
  expect(wrong(new Map([...others, ...read(label)]))).toEqual([expect.stringContaining("R102.1")]);
  const wire = text.replace(/<polyline class="n"[^>]*>/, "");
  expect(wrong(new Map([...others, ...read(wire)])).length).toBeGreaterThan(0);
});

/** Words in the group of each part. */
function said(): Map<string, string> {
  const groups = drawn.flatMap(({ text }) =>
    [...text.matchAll(/<g data-ref="([^"]+)">(.*?)<\/g>/gs)].map(([, ref, inside]): [string, string] => [
      ref!,
      [...inside!.matchAll(/<text class="[rt]"[^>]*>([^<]*)</g)].map((match) => plain(match[1]!)).join("; "),
    ]),
  );
  return new Map(groups);
}

const withUnit = (key: string, rated: number | string): string =>
  typeof rated === "string"
    ? VALUES[rated]!.written
    : `${rated} ${{ volts: "V", amps: "A", watts: "W" }[key]}`;
const expected = ({ ref, value, part, tolerancePercent, rating }: Part): string[] => [
  ref,
  value === undefined ? part : VALUES[value]!.written,
  ...(value !== undefined && tolerancePercent !== undefined ? [`${tolerancePercent} %`] : []),
  ...Object.entries(rating).map(([key, rated]) => withUnit(key, rated)),
];

test("reference, value, tolerance and rating of every part can be read beside it", () => {
  const beside = said();
  for (const part of CIRCUIT.parts)
    for (const text of expected(part)) expect(beside.get(part.ref), part.ref).toContain(text);
});

test("legs of transistors and of pairs of diodes are named beside their symbols", () => {
  const beside = said();
  const lettered = CIRCUIT.parts.filter(({ kind }) =>
    ["npn", "n-fet", "p-fet", "schottky pair"].includes(kind),
  );
  expect(lettered.length).toBeGreaterThan(35);
  for (const { ref, pins } of lettered)
    for (const { no } of pins) expect(beside.get(ref)!.split("; "), ref).toContain(no);
});

test("every wire of the harness is drawn with its ends, gauge, length and fuse", () => {
  const text = HARNESS.map(([file]) => noteText(`sheets/${file}.svg`)).join("");
  const lines = new Map(
    [...text.matchAll(/<g data-wire="([^"]+)">(.*?)<\/g>/gs)].map(([, ref, inside]) => [
      ref!,
      [...inside!.matchAll(/<text[^>]*>([^<]*)</g)].map((match) => plain(match[1]!)),
    ]),
  );
  expect(lines.size).toBe(CIRCUIT.wires.length);
  for (const { ref, from, to, mm2, metres, fuse, what } of CIRCUIT.wires) {
    const [at, run, about, end] = lines.get(ref)!;
    expect([at, about, end]).toEqual([from, what, to]);
    expect(run).toContain(`${ref}: ${mm2} mm2, ${metres} m, ${fuse === "-" ? "no fuse" : fuse}`);
  }
});

interface Box {
  readonly name: string;
  readonly box: readonly [left: number, right: number, top: number, bottom: number];
}
const SIZES: Readonly<Record<string, number>> = { h: 22, r: 15, t: 14, l: 14, n: 15 };
const SHEETS_DRAWN = readdirSync(join(import.meta.dirname, "../../hardware-notes/sheets"));
/** A sheet on A4 across, px: printed to fit, its smallest letters are 2.9 mm high or more. */
const A4 = { width: 1200, height: 930 };

/** Room of every text; letters are taken as wide as those of a usual sans-serif font on average. */
function texts(text: string): Box[] {
  return [...text.matchAll(/<text class="(\w)"([^>]*)>([^<]+)</g)].map(([, style, tag, words]) => {
    const size = SIZES[style!]!;
    const width = plain(words!).length * size * 0.52;
    const shift = { start: 0, middle: 0.5, end: 1 }[attribute(tag!, "text-anchor") as "start"];
    const left = Number(attribute(tag!, "x")) - shift * width;
    const base = Number(attribute(tag!, "y"));
    return { name: plain(words!), box: [left, left + width, base - 0.72 * size, base + 0.1 * size] };
  });
}
const meet = ({ box: a }: Box, { box: b }: Box): boolean =>
  a[0] < b[1] && b[0] < a[1] && a[2] < b[3] && b[2] < a[3];

/** Every straight piece of every wire and symbol, every filled shape and every leg. */
function drawnLines(text: string): Box[] {
  const around = (name: string, spots: readonly string[]): Box => {
    const [xs, ys] = [0, 1].map((i) => spots.map((spot) => Number(spot.split(",")[i])));
    return { name, box: [Math.min(...xs!), Math.max(...xs!), Math.min(...ys!), Math.max(...ys!)] };
  };
  const lists = [...text.matchAll(/<poly(line|gon)[^>]* points="([^"]+)"/g)].map(
    ([, kind, list]) => [kind!, list!.split(" ")] as const,
  );
  const legs = [
    ...text.matchAll(/<(?:rect|circle) data-leg="([^"]+)" class="f" (c?)x="([\d.]+)" c?y="([\d.]+)"/g),
  ];
  return [
    ...lists.flatMap(([kind, spots]) =>
      kind === "gon"
        ? [around(`shape at ${spots[0]}`, spots)]
        : spots.slice(1).map((spot, i) => around(`line at ${spot}`, [spots[i]!, spot])),
    ),
    ...legs.map(([, leg, middle, x, y]): Box => {
      const [left, top] = middle === "c" ? [Number(x) - 3, Number(y) - 3] : [Number(x), Number(y)];
      return { name: `leg ${leg}`, box: [left, left + 6, top, top + 6] };
    }),
  ];
}

/** Pairs of words that cover each other, or a line. */
function covered(text: string): string[] {
  const boxes = texts(text);
  const lines = drawnLines(text);
  return boxes.flatMap((a, i) =>
    [...boxes.slice(i + 1), ...lines].filter((b) => meet(a, b)).map((b) => `${a.name} / ${b.name}`),
  );
}

describe.each(SHEETS_DRAWN)("%s", (file) => {
  const text = noteText(`sheets/${file}`);
  const width = Number(/viewBox="0 0 (\d+)/.exec(text)![1]);
  test("no words cover others or a line, and none leave the sheet", () => {
    expect(covered(text)).toEqual([]);
    expect(texts(text).filter(({ box: [left, right] }) => left < 0 || right > width)).toEqual([]);
  });
});

test.each(SHEETS_DRAWN.filter((file) => !file.startsWith("layout")))(
  "%s is no larger than a page of A4 shows legibly",
  (file) => {
    const [, width, height] = /viewBox="0 0 (\d+) (\d+)"/.exec(noteText(`sheets/${file}`))!.map(Number);
    expect([width, height! <= A4.height]).toEqual([A4.width, true]);
  },
);

test("words that cover others, a line or a leg are seen", () => {
  const words = '<text class="t" x="10" y="20" text-anchor="start">first</text>';
  const over = (more: string): number => covered(words + more).length;
  expect(over('<text class="t" x="30" y="20" text-anchor="start">second</text>')).toBe(1);
  expect(over('<polyline class="n" points="20,0 20,40"/>')).toBe(1);
  expect(over('<polyline class="n" points="0,30 80,30"/>')).toBe(0);
  expect(over('<circle data-leg="R1.2" class="f" cx="20" cy="16" r="3"/>')).toBe(1);
});

test("every part of the board stands whole, with its name, on one of the two layout sheets", () => {
  const halves = SHEETS_DRAWN.filter((file) => file.startsWith("layout")).map((file) =>
    noteText(`sheets/${file}`),
  );
  const named = halves.flatMap((text) =>
    [...text.matchAll(/<text class="n"[^>]*>([^<]+)</g)].map(([, ref]) => ref),
  );
  for (const { part } of place()) expect(named, part.ref).toContain(part.ref);
});

test("the page of nets names every pin on its net, and every wire at both its ends", () => {
  const rows = new Map(tableRows(noteText("nets.md")).map((row) => [row[0]!, row]));
  for (const [end, net] of ends)
    expect(
      rows
        .get(net)![1]!
        .split(", ")
        .map((pin) => pin.split(" ")[0]),
      end,
    ).toContain(end);
  const netAt = (end: string): string => endAt(CIRCUIT, end).pin.net;
  for (const { ref, from, to } of CIRCUIT.wires) {
    expect(rows.get(netAt(from))![2]!.split(", ")).toContain(`${ref} to ${netAt(to)}`);
    expect(rows.get(netAt(to))![2]!.split(", ")).toContain(`${ref} to ${netAt(from)}`);
  }
});

test("the front page leads to every sheet", () => {
  const page = noteText("README.md") + noteText("layout.md");
  for (const file of SHEETS_DRAWN) expect(page).toContain(`(sheets/${file})`);
});
