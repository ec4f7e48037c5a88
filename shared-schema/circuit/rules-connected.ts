// Rules about what is connected: no loose net, no floating input, chips powered and decoupled, enables and spare gates tied.
import { nets } from "./circuit.ts";
import { edges, HELD_NETS, netOf, pinsOf, reach, terminals, type Values } from "./graph.ts";
import type { Circuit, Part } from "./part.ts";

/** A rule by its name; `check` gives a sentence for each place where the circuit breaks it. */
export interface CircuitRule {
  readonly name: string;
  readonly check: (circuit: Circuit, values: Values) => string[];
}

/** Inputs that the chip's own pull-up holds, as the firmware sets it; the pin's wire may be open. */
const OWN_PULL_UP: readonly string[] = ["uartRx", "spiIn"];
const LOGIC = /^(74|MCP)/;

function looseNets(circuit: Circuit): string[] {
  return [...terminals(circuit)]
    .filter(([, ends]) => ends.length < 2)
    .map(
      ([net, ends]) => `the net ${net} has one end only: ${ends.join(", ") || "a connector without a wire"}`,
    );
}

function unwired({ parts, wires }: Circuit): string[] {
  const wired = new Set(wires.flatMap(({ from, to }) => [from, to]));
  return parts
    .filter(({ kind }) => kind === "connector")
    .flatMap(({ ref, pins }) => pins.map(({ no }) => `${ref}.${no}`))
    .filter((end) => !wired.has(end))
    .map((end) => `no wire at the connector's pin ${end}`);
}

function twice({ parts, wires }: Circuit): string[] {
  const refs = [...parts, ...wires].map(({ ref }) => ref);
  return refs.filter((ref, i) => refs.indexOf(ref) !== i).map((ref) => `the reference ${ref} stands twice`);
}

/** Whether something holds a net: a supply, or an output, or a resistor on the way to either. */
function heldNets(circuit: Circuit): Set<string> {
  const outputs = [...nets(circuit)]
    .filter(([, ends]) => ends.some(({ pin }) => pin.type === "out"))
    .map(([net]) => net);
  const sources = circuit.parts.filter(({ kind }) => kind === "p-fet").map((part) => netOf(part, "S"));
  const ways = edges(circuit, ({ kind }) => ["resistor", "jumper", "link", "fuse"].includes(kind), true);
  const roots = [...HELD_NETS, ...outputs, ...sources].map((net): [string, string, string] => [
    "held",
    net,
    "",
  ]);
  return reach("held", [...ways, ...roots]);
}

function floating(circuit: Circuit): string[] {
  const held = heldNets(circuit);
  return circuit.parts.flatMap(({ ref, pins }) =>
    pins
      .filter(
        ({ type, net }) =>
          (type === "in" || type === "enable") && !held.has(net) && !OWN_PULL_UP.includes(net),
      )
      .map(({ name, net }) => `the input ${name} of ${ref} floats: nothing holds ${net || "it"}`),
  );
}

const chips = ({ parts }: Circuit): Part[] => parts.filter(({ kind }) => kind === "chip");

function unpowered(circuit: Circuit): string[] {
  return chips(circuit)
    .filter((chip) => {
      const of = (type: string): string[] =>
        chip.pins.filter((pin) => pin.type === type).map(({ net }) => net);
      const powered = of("power");
      return (
        powered.length === 0 ||
        powered.some((net) => net === "gnd" || net === "") ||
        of("ground").some((net) => net !== "gnd") ||
        of("ground").length === 0
      );
    })
    .map(({ ref }) => `${ref} lacks supply or ground`);
}

function undecoupled(circuit: Circuit, values: Values): string[] {
  const caps = circuit.parts.filter(({ kind }) => kind === "capacitor");
  const between = (net: string) => (cap: Part) => {
    const own = cap.pins.map((pin) => pin.net);
    return own.includes(net) && own.includes("gnd");
  };
  return chips(circuit).flatMap((chip) => {
    const power = chip.pins.filter(({ type }) => type === "power").map(({ net }) => net);
    const near = LOGIC.test(chip.part) ? caps.filter(({ part }) => part.endsWith(`at ${chip.ref}`)) : caps;
    const least = LOGIC.test(chip.part) ? values("decouple.chip") : 0;
    return power
      .filter((net) => !near.filter(between(net)).some(({ value }) => values(value!) >= least))
      .map((net) => `${chip.ref} has no capacitor from ${net} to ground`);
  });
}

function looseEnables(circuit: Circuit): string[] {
  const driven = new Set(
    circuit.parts
      .find(({ ref }) => ref === "A1")
      ?.pins.filter(({ type }) => type === "out")
      .map(({ net }) => net),
  );
  const pulled = edges(circuit, ({ kind }) => kind === "resistor").filter((way) => way.includes("3v3"));
  return chips(circuit).flatMap((chip) =>
    chip.pins
      .filter(({ type, net }) => {
        const tied = HELD_NETS.includes(net);
        return type === "enable" && !tied && !(driven.has(net) && pulled.some((way) => way.includes(net)));
      })
      .map(({ name }) => `the enable ${name} of ${chip.ref} is neither tied nor pulled`),
  );
}

function spareGates(circuit: Circuit): string[] {
  return chips(circuit)
    .filter(({ part }) => /HCT(541|14)$/.test(part))
    .flatMap((chip) =>
      pinsOf(chip, /Y/)
        .filter(({ net }) => net === "")
        .map(({ name }) => name.replace("Y", "A"))
        .filter((name) => netOf(chip, name) !== "gnd")
        .map((name) => `the spare input ${name} of ${chip.ref} is not at ground`),
    );
}

export const CONNECTED: readonly CircuitRule[] = [
  { name: "no net with one end", check: looseNets },
  { name: "each connector pin has its wire", check: unwired },
  { name: "each reference once", check: twice },
  { name: "no floating input", check: floating },
  { name: "each chip has supply and ground", check: unpowered },
  { name: "each chip has its capacitor", check: undecoupled },
  { name: "enables are tied", check: looseEnables },
  { name: "spare gates are tied", check: spareGates },
];
