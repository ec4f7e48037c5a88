// The plan of the perforated board: no two legs in one hole, nothing over the rim, and the links join each net and nothing else.
import { expect, test } from "vitest";
import { CIRCUIT } from "#shared-schema/circuit/circuit.ts";
import { BOARD, pinHoles, place } from "#shared-schema/layout/layout.ts";
import { type Link, links, STAR_BAR } from "#shared-schema/layout/links.ts";
import { noteText, value } from "./values.ts";

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
type Joint = Pick<Link, "from" | "to">;

function groups(all: readonly Joint[]): string[] {
  const of = new Map([...pins.keys(), STAR_BAR.name].map((pin) => [pin, new Set([pin])]));
  for (const { from, to } of all) {
    const both = new Set([...of.get(from)!, ...of.get(to)!]);
    for (const pin of both) of.set(pin, both);
  }
  const noBar = (group: Set<string>): string[] => [...group].filter((pin) => pin !== STAR_BAR.name);
  return [...new Set(of.values())].map((group) => noBar(group).sort().join(" ")).sort();
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
  expect(groups([...all, { from: "Q101.S", to: "Q1.E" }])).not.toEqual(wanted());
});

test("the page names each link with its holes", () => {
  const page = noteText("layout.md");
  const hole = (pin: string): string => `${pin} (${pins.get(pin)!.hole.join(",")})`;
  for (const { net, from, to } of links(pins))
    expect(page).toContain(`${hole(from)} to ${net === "star" ? `${to} (` : hole(to)}`);
});

test("whatever goes to the star has a link of its own to the bar, which stands clear of every leg", () => {
  const own = links(pins).filter(({ net }) => net === "star");
  const legs = [...pins].filter(([, { net }]) => net === "star").map(([pin]) => pin);
  expect(own.map(({ from }) => from).sort()).toEqual(legs.sort());
  expect(own.filter(({ to }) => to !== STAR_BAR.name)).toEqual([]);
  for (const { mm2 } of own.filter(({ from }) => from.startsWith("LK"))) expect(mm2).toBe(2.5);
  expect(STAR_BAR.mm2 * value("wire.fuse")).toBeGreaterThan(value("dump.current"));
  const cells = placed.filter(
    ({ at, footprint }) => at[1] <= STAR_BAR.row && STAR_BAR.row < at[1] + footprint.height,
  );
  expect(cells.map(({ part }) => part.ref)).toEqual([]);
});

/** Current at a pin, from the wires and values themselves, A; D13 counts as shorted, with F1 about to blow. */
function currentAt(pin: string): number {
  const [ref, leg] = pin.split(".") as [string, string];
  if (ref === "D13") return value("supply.fuse-main");
  if (/^F\d$/.test(ref)) return value(ref === "F2" ? "supply.controller" : "supply.stage");
  const [, channel] = /^[QD](\d{1,2})0[12]$/.exec(ref) ?? [];
  if (leg !== "G" && channel !== undefined && Number(channel) <= 10) return value("coil.current");
  const wire = CIRCUIT.wires.find(({ from, to }) => from === pin || to === pin);
  return wire ? value(wire.carries) : 0;
}

/** Names on the `from` side of a link once it is cut. */
function side(all: readonly Link[], cut: Link): Set<string> {
  const seen = new Set([cut.from]);
  const rest = all.filter((link) => link !== cut && link.net === cut.net);
  for (let before = 0; before < seen.size; ) {
    before = seen.size;
    for (const { from, to } of rest) if (seen.has(from) || seen.has(to)) seen.add(from).add(to);
  }
  return seen;
}

/** The current of a link is no more than what the pins on either side of it give or take. */
function tooThin(all: readonly Link[]): string[] {
  return all
    .filter((link) => {
      const here = side(all, link);
      const there = [...pins].filter(([pin, { net }]) => net === link.net && !here.has(pin));
      const sum = (names: string[]): number =>
        names.reduce((amps, name) => amps + (name === STAR_BAR.name ? 0 : currentAt(name)), 0);
      const amps = Math.min(sum([...here]), sum(there.map(([pin]) => pin)));
      return amps > link.mm2 * value("wire.fuse") + 1e-9;
    })
    .map(({ from, to }) => `${from} to ${to}`);
}

test("each link is thick enough for the current of what it joins", () => {
  const all = links(pins);
  expect(tooThin(all)).toEqual([]);
  // Chained at 1.5 mm2 throughout, the trunks of the whole current are seen.
  const chained = all.map((link) => ({ ...link, mm2: Math.min(link.mm2, 1.5) }));
  expect(tooThin(chained)).toContain("D13.K to X8.5");
  expect(tooThin(chained).filter((one) => one.includes("F3.1") || one.includes("F7.1"))).not.toEqual([]);
  expect(tooThin(chained).filter((one) => one.includes("X1."))).toHaveLength(2);
});

test("no trunk leads through the leg of a tap", () => {
  const thick = links(pins).filter(({ net, mm2 }) => net !== "star" && mm2 > 0.25);
  for (const { from, to } of thick)
    for (const pin of [from, to]) expect(currentAt(pin), pin).toBeGreaterThan(0);
});
