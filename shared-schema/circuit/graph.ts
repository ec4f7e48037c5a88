// Questions to the circuit as a graph: which nets hang together through parts of some kind, and what holds a net.
import { endAt, nets } from "./circuit.ts";
import type { Circuit, Part } from "./part.ts";

/** Value of a key of hardware-notes, SI. */
export type Values = (key: string) => number;

/** Nets that are a supply or a ground: whatever lies at one of them is held. */
export const HELD_NETS: readonly string[] = [
  "gnd",
  "star",
  "5v",
  "3v3",
  "sensor5",
  "vsys",
  "feed",
  "drv",
  "main",
  "battery",
  "battery.minus",
];

const edge = (part: Part): readonly [string, string] => [part.pins[0]!.net, part.pins[1]!.net];

/** Connections between nets by parts that pass the test, and by wires if wanted. */
export function edges(
  circuit: Circuit,
  wanted: (part: Part) => boolean,
  wires = false,
): [string, string, string][] {
  const found = circuit.parts
    .filter((part) => part.pins.length === 2 && wanted(part))
    .map((part): [string, string, string] => [...edge(part), part.ref]);
  const run = wires ? circuit.wires : [];
  const ends = run.map(({ ref, from, to }): [string, string, string] => [
    endAt(circuit, from).pin.net,
    endAt(circuit, to).pin.net,
    ref,
  ]);
  return [...found, ...ends];
}

/** Every net that can be reached from one by the connections given. */
export function reach(
  from: string,
  connections: readonly (readonly [string, string, string])[],
): Set<string> {
  const seen = new Set([from]);
  for (let before = 0; before < seen.size; ) {
    before = seen.size;
    for (const [a, b] of connections) {
      if (seen.has(a)) seen.add(b);
      else if (seen.has(b)) seen.add(a);
    }
  }
  return seen;
}

/** Resistors between two nets whose value is at most so many ohms. */
export function pulls(circuit: Circuit, values: Values, a: string, b: string, most: number): Part[] {
  return circuit.parts.filter(
    (part) =>
      part.kind === "resistor" &&
      part.value !== undefined &&
      values(part.value) <= most &&
      edge(part).includes(a) &&
      edge(part).includes(b),
  );
}

/** Pins and wire ends on each net; a connector's pin counts only by the wire that ends there. */
export function terminals(circuit: Circuit): Map<string, string[]> {
  const wired = new Set(circuit.wires.flatMap(({ from, to }) => [from, to]));
  const found = new Map<string, string[]>();
  for (const [net, ends] of nets(circuit)) {
    const pins = ends
      .filter(({ part }) => part.kind !== "connector")
      .map(({ part, pin }) => `${part.ref}.${pin.no}`);
    const wires = ends.map(({ part, pin }) => `${part.ref}.${pin.no}`).filter((end) => wired.has(end));
    found.set(net, [...pins, ...wires.map((end) => `wire at ${end}`)]);
  }
  return found;
}

/** Pins of a part by a test of their name. */
export const pinsOf = (part: Part, name: RegExp): Part["pins"] =>
  part.pins.filter((pin) => name.test(pin.name));

/** Net of a part's pin by its name. Throws when there is none. */
export function netOf(part: Part, name: string): string {
  const found = part.pins.find((pin) => pin.name === name);
  if (!found) throw new Error(`${part.ref} has no pin ${name}`);
  return found.net;
}
