// Every single fault of the circuit: each pin open, each pair of neighbouring pins shorted, each wire open, on battery, on ground.
import { endAt } from "#shared-schema/circuit/circuit.ts";
import type { Circuit, CircuitPin, Part } from "#shared-schema/circuit/part.ts";

/** One fault: a pin off its net, a wire cut, or two nets joined. */
export interface CircuitFault {
  readonly name: string;
  readonly open?: string;
  readonly cut?: string;
  readonly join?: readonly [string, string];
}

const SMALL = 4;

function pairs(pins: readonly CircuitPin[]): [CircuitPin, CircuitPin][] {
  const all = pins.flatMap((a, i) =>
    pins.slice(i + 1).map((b, n): [CircuitPin, CircuitPin, number] => [a, b, n]),
  );
  return all.filter(([, , n]) => pins.length <= SMALL || n === 0).map(([a, b]) => [a, b]);
}

function shorts(part: Part): CircuitFault[] {
  return pairs(part.pins.filter(({ net }) => net !== ""))
    .filter(([a, b]) => a.net !== b.net)
    .map(([a, b]) => ({ name: `${part.ref}: ${a.name} shorted to ${b.name}`, join: [a.net, b.net] }));
}

function opens(part: Part): CircuitFault[] {
  const pins = part.pins.filter(({ net }) => net !== "");
  const some = pins.length === 2 ? pins.slice(0, 1) : pins;
  return some.map(({ no, name }) => ({ name: `${part.ref}: ${name} open`, open: `${part.ref}.${no}` }));
}

/** Outputs of a chip stuck at its supply or its ground. */
function stuck(part: Part): CircuitFault[] {
  if (part.kind !== "chip") return [];
  const power = part.ref === "A1" ? "3v3" : part.pins.find(({ type }) => type === "power")!.net;
  return part.pins
    .filter(({ type, net }) => type === "out" && net !== "")
    .flatMap(({ name, net }): CircuitFault[] => [
      { name: `${part.ref}: ${name} stuck high`, join: [net, power] },
      { name: `${part.ref}: ${name} stuck low`, join: [net, "gnd"] },
    ]);
}

/** All faults, in the order of parts and wires. */
export function faultsOf(circuit: Circuit): CircuitFault[] {
  const parts = circuit.parts.flatMap((part) => [...opens(part), ...shorts(part), ...stuck(part)]);
  const wires = circuit.wires.flatMap(({ ref, from }): CircuitFault[] => {
    const net = endAt(circuit, from).pin.net;
    return [
      { name: `${ref}: open`, cut: ref },
      { name: `${ref}: on battery`, join: [net, "battery"] },
      { name: `${ref}: on ground`, join: [net, "battery.minus"] },
    ];
  });
  return [...parts, ...wires];
}

/** The one fault that is left to the person: whatever joins the arm switch's wire to a supply. */
export function isNamed(fault: CircuitFault): boolean {
  const join = fault.join ?? [];
  const arm = ["arm", "S1.out"];
  const supplied = ["feed", "S1.feed", "battery", "main", "controller"];
  return join.some((net) => arm.includes(net)) && join.some((net) => supplied.includes(net));
}
