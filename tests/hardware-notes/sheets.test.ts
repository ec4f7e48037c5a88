// The schematic sheets read back from their lines and words: every part once, with value and rating, and every pin on its net.
import { readdirSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { CIRCUIT } from "#shared-schema/circuit/circuit.ts";
import type { Part } from "#shared-schema/circuit/part.ts";
import { refsOn, SHEETS } from "#shared-schema/sheets/sheets.ts";
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

test("every wire of the harness is drawn with its ends, gauge, length and fuse", () => {
  const text = noteText("sheets/harness.svg");
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
const SIZES: Readonly<Record<string, number>> = { h: 22, r: 15.5, t: 13, l: 14 };

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

describe.each(readdirSync(join(import.meta.dirname, "../../hardware-notes/sheets")))("%s", (file) => {
  const text = noteText(`sheets/${file}`);
  const boxes = texts(text);
  test("no words cover others, and none leave the sheet", () => {
    const width = Number(/viewBox="0 0 (\d+)/.exec(text)![1]);
    const covered = boxes.flatMap((a, i) =>
      boxes
        .slice(i + 1)
        .filter((b) => meet(a, b))
        .map((b) => `${a.name} / ${b.name}`),
    );
    expect(covered).toEqual([]);
    expect(boxes.filter(({ box: [left, right] }) => left < 0 || right > width)).toEqual([]);
  });
});
