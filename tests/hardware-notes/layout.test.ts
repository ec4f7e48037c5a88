// The plan of the perforated board: no two legs in one hole, nothing over the rim, and the links join each net and nothing else.
import { expect, test } from "vitest";
import { CIRCUIT } from "#shared-schema/circuit/circuit.ts";
import { BOARD, type Link, links, pinHoles, place } from "#shared-schema/layout/layout.ts";
import { noteText } from "./values.ts";

const placed = place();
const pins = pinHoles(placed);

test("every part of the board, every connector of the wall and every fuse of the box stands on it once", () => {
  const wanted = CIRCUIT.parts.filter(
    ({ place: where, kind }) => where === "board" || (where === "box" && kind !== "relay"),
  );
  expect(placed.map(({ part }) => part.ref).sort()).toEqual(wanted.map(({ ref }) => ref).sort());
});

test("no two parts share a hole, and none stands over the rim", () => {
  const cells = placed.flatMap(({ at, footprint: { width, height } }) =>
    Array.from({ length: width * height }, (_, i) => [at[0] + (i % width), at[1] + Math.floor(i / width)]),
  );
  expect(new Set(cells.map(String)).size).toBe(cells.length);
  expect(cells.filter(([x, y]) => x! < 0 || y! < 0 || x! >= BOARD.columns || y! >= BOARD.rows)).toEqual([]);
  for (const { part, footprint } of placed) expect(footprint.holes.size, part.ref).toBe(part.pins.length);
});

test("what the wall cools stands at the lower rim", () => {
  const cooled = placed.filter(({ part }) => part.kind === "n-fet" || part.value === "clamp.voltage");
  expect(cooled.length).toBe(22);
  for (const { part, at } of cooled) expect(at[1], part.ref).toBeGreaterThanOrEqual(BOARD.rows - 5);
});

/** Pins that links join, as groups of names. */
function groups(all: readonly Link[]): string[] {
  const of = new Map([...pins.keys()].map((pin) => [pin, new Set([pin])]));
  for (const { from, to } of all) {
    const both = new Set([...of.get(from)!, ...of.get(to)!]);
    for (const pin of both) of.set(pin, both);
  }
  return [...new Set(of.values())].map((group) => [...group].sort().join(" ")).sort();
}

function wanted(): string[] {
  const byNet = new Map<string, string[]>();
  for (const { part } of placed)
    for (const { no, net } of part.pins)
      if (net !== "") byNet.set(net, [...(byNet.get(net) ?? []), `${part.ref}.${no}`]);
  return [...byNet.values()].map((group) => group.sort().join(" ")).sort();
}

test("the links join the pins of each net of the netlist, and no others", () => {
  expect(groups(links(pins))).toEqual(wanted());
});

test("a link left out, and one too many, are seen", () => {
  const all = links(pins);
  expect(groups(all.slice(1))).not.toEqual(wanted());
  expect(groups([...all, { net: "star", from: "Q101.S", to: "Q1.E" }])).not.toEqual(wanted());
});

test("the page names each link with its holes", () => {
  const page = noteText("layout.md");
  const hole = (pin: string): string => `${pin} (${pins.get(pin)!.hole.join(",")})`;
  for (const { from, to } of links(pins)) expect(page).toContain(`${hole(from)} to ${hole(to)}`);
});
