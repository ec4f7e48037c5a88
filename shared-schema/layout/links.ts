// The links of the board: how the pins of each net are joined, by how much current, and how thick each link is.
import { CIRCUIT, endAt, partOf } from "../circuit/circuit.ts";
import type { Part } from "../circuit/part.ts";
import { si } from "../generate/note-values.ts";
import type { Hole } from "./footprints.ts";

/** A pin on the board, with its net. */
export interface Spot {
  readonly net: string;
  readonly hole: Hole;
}

/** A link between two holes of a net; `to` of the star is the bar, at the hole that is named. */
export interface Link {
  readonly net: string;
  readonly from: string;
  readonly to: string;
  readonly toHole: Hole;
  readonly mm2: number;
}

/** The star is a bar across the board, in a row of its own above what the wall cools. */
export const STAR_BAR = { net: "star", name: "the bar", row: 39, mm2: 10 } as const;

/** Cross-sections that the plan uses, mm2: taps and logic, coils of valves, LK1 and LK2, the whole current. */
const GAUGES = [0.25, 1.5, 2.5, 6] as const;

const rated = ({ value }: Part): number => si(value!);
const MAIN_FUSE = rated(partOf(CIRCUIT, "F1"));

/** What a wire's fuse lets through for long, or what the wire carries where nothing else limits it, A. */
function wireAmps(end: string): number {
  const found = CIRCUIT.wires.find(({ from, to }) => from === end || to === end);
  if (found === undefined) return 0;
  const fuse = CIRCUIT.parts.find(({ ref, value }) => ref === found.fuse && value?.startsWith("supply.fuse"));
  return fuse && rated(fuse) > si("supply.fuse-controller") ? rated(fuse) : si(found.carries);
}

/** What the coil on a driver's drain draws, A: `Q101` and its clamp `D101`, `D102` have the same first digits. */
function coilAmps(ref: string): number {
  const { net } = partOf(CIRCUIT, `Q${ref.slice(1, -2)}01`).pins.find(({ name }) => name === "D")!;
  const wire = CIRCUIT.wires.find(({ from }) => endAt(CIRCUIT, from).pin.net === net)!;
  return si(wire.carries);
}

/**
 * Current that a pin gives to its net or takes from it for long, A; 0 for a tap, a gate or a signal. D13 counts as failed
 * shorted until F1 blows.
 */
export function pinAmps(pin: string): number {
  const { part, pin: own } = endAt(CIRCUIT, pin);
  if (part.kind === "connector") return wireAmps(pin);
  if (part.kind === "fuse") return rated(part);
  if (part.ref === "D13") return MAIN_FUSE;
  if (part.kind === "n-fet") return own.name === "G" ? 0 : coilAmps(part.ref);
  if (part.value === "clamp.voltage" || part.part === "fast diode") return coilAmps(part.ref);
  // On the other side of D16, LK1 and LK2 lies the plane, which is a sheet.
  const toPlane = part.ref === "D16" || part.kind === "link";
  return toPlane && own.net === STAR_BAR.net ? Number(part.rating.amps) : 0;
}

/** Thinnest of the plan's gauges for a current. Throws where none carries it: the plan then needs a thicker one. */
function gauge(amps: number): number {
  const found = GAUGES.find((mm2) => mm2 * si("wire.fuse") >= amps);
  if (found === undefined) throw new Error(`no link of the plan carries ${amps} A`);
  return found;
}

const distance = ([a, b]: Hole, [c, d]: Hole): number => Math.abs(a - c) + Math.abs(b - d);

/** Joins `rest` to `inside` by the shortest links (Prim's tree). */
function joined(
  inside: string[],
  rest: string[],
  apart: (a: string, b: string) => number,
): [string, string][] {
  const found: [string, string][] = [];
  while (rest.length > 0) {
    const ways = rest.map((to): [string, string] => [
      inside.reduce((best, one) => (apart(one, to) < apart(best, to) ? one : best)),
      to,
    ]);
    const next = ways.reduce((best, one) => (apart(one[0], one[1]) < apart(best[0], best[1]) ? one : best));
    found.push(next);
    inside.push(next[1]);
    rest.splice(rest.indexOf(next[1]), 1);
  }
  return found;
}

/** What a part asks for by its words, mm2: LK1 and LK2 are thicker than their current needs, so that nothing lifts the plane. */
const askedFor = (pin: string): number =>
  Number(/([\d.]+) mm2/.exec(endAt(CIRCUIT, pin).part.part)?.[1] ?? 0);

/** Each pin by a link of its own to the bar, straight down or up. */
const toBar = (names: readonly string[], pins: ReadonlyMap<string, Spot>): Link[] =>
  names.map((from) => ({
    net: STAR_BAR.net,
    from,
    to: STAR_BAR.name,
    toHole: [pins.get(from)!.hole[0], STAR_BAR.row],
    mm2: Math.max(gauge(pinAmps(from)), askedFor(from)),
  }));

/** First the trunk among the pins that carry current, thick enough for the greatest of them, then the taps: no trunk leads through a tap. */
function tree(net: string, names: readonly string[], pins: ReadonlyMap<string, Spot>): Link[] {
  const apart = (a: string, b: string): number => distance(pins.get(a)!.hole, pins.get(b)!.hole);
  const amps = Math.max(...names.map(pinAmps));
  const thin = GAUGES[0];
  const heavy = gauge(amps) > thin ? names.filter((name) => pinAmps(name) > 0) : [];
  const taps = names.filter((name) => !heavy.includes(name));
  const inside = [heavy[0] ?? taps.shift()!];
  const link =
    (mm2: number) =>
    ([from, to]: [string, string]): Link => ({ net, from, to, toHole: pins.get(to)!.hole, mm2 });
  return [
    ...joined(inside, heavy.slice(1), apart).map(link(gauge(amps))),
    ...joined(inside, taps, apart).map(link(thin)),
  ];
}

/** The links that join the pins of each net. */
export function links(pins: ReadonlyMap<string, Spot>): Link[] {
  const byNet = new Map<string, string[]>();
  for (const [pin, { net }] of pins) byNet.set(net, [...(byNet.get(net) ?? []), pin]);
  return [...byNet].flatMap(([net, names]) =>
    net === STAR_BAR.net ? toBar(names, pins) : tree(net, names, pins),
  );
}
