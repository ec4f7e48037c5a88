// Rules about off: each output pulled down, two grounds joined by more than one thing, the diode in front of Q2, pins as in the table.
import { headerPin } from "../model/header.ts";
import { ADC_A, PINS, SLOW_SWITCHES } from "../model/pins.ts";
import { endAt, partOf } from "./circuit.ts";
import { SOLENOIDS, VALVES } from "./drivers.ts";
import { edges, netOf, pulls, reach, type Values } from "./graph.ts";
import { switchNet } from "./inputs.ts";
import type { Circuit, Part } from "./part.ts";
import type { CircuitRule } from "./rules-connected.ts";

/** Largest pull, ohm: at the leakage of an input, a microampere or so, it holds well under 0.1 V. */
const PULL = 10_000;

function notPulled(circuit: Circuit, values: Values): string[] {
  const outputs = PINS.filter(({ kind }) => kind === "solenoid" || kind === "output");
  const jumpers = edges(circuit, ({ kind }) => kind === "jumper");
  const low = outputs
    .filter(
      ({ name }) =>
        ![...reach(name, jumpers)].some((net) => pulls(circuit, values, net, "gnd", PULL).length > 0),
    )
    .map(({ name }) => `the output ${name} has no pull-down at its pin`);
  const high = PINS.filter(({ kind, safe, direction }) => kind === "spi" && safe === 1 && direction === "out")
    .filter(({ name }) => pulls(circuit, values, name, "3v3", PULL).length === 0)
    .map(({ name }) => `the select ${name} has no pull-up`);
  const gates = circuit.parts
    .filter(({ kind }) => kind === "n-fet" || kind === "p-fet")
    .filter((fet) => pulls(circuit, values, netOf(fet, "G"), netOf(fet, "S"), PULL).length === 0)
    .map(({ ref }) => `the gate of ${ref} has no resistor to its source`);
  return [...low, ...high, ...gates];
}

/** What joins logic ground and star, one at a time left out: what is left has to join them still, without the diode. */
function groundAlone(circuit: Circuit): string[] {
  const joins = edges(circuit, ({ kind }) => kind === "link", true);
  if (!reach("gnd", joins).has("star")) return ["logic ground and star do not meet"];
  return joins
    .filter(
      (one) =>
        !reach(
          "gnd",
          joins.filter((other) => other !== one),
        ).has("star"),
    )
    .map(([, , ref]) => `${ref} alone joins logic ground and star`);
}

const between = ({ pins }: Part, a: string, b: string): boolean => pins[0]?.net === a && pins[1]?.net === b;

function groundDiode(circuit: Circuit): string[] {
  const found = circuit.parts.some((part) => part.kind === "diode" && between(part, "gnd", "star"));
  return found ? [] : ["no diode leads from logic ground to star"];
}

function whoseGround(circuit: Circuit): string[] {
  const wrong = (ref: string, name: string, net: string): string[] =>
    netOf(partOf(circuit, ref), name) === net ? [] : [`${name} of ${ref} is not at ${net}`];
  const drivers = circuit.parts.filter(({ kind }) => kind === "n-fet");
  return [
    ...wrong("Q1", "E", "gnd"),
    ...wrong("D1", "A", "gnd"),
    ...wrong("D3", "A", "gnd"),
    ...wrong("R3", "2", "gnd"),
    ...wrong("R9", "2", "gnd"),
    ...wrong("C3", "2", "gnd"),
    ...drivers.flatMap(({ ref }) => wrong(ref, "S", "star")),
  ];
}

function twoGroundWires(circuit: Circuit): string[] {
  const found = circuit.wires.filter(({ from, to }) => {
    const ends = [endAt(circuit, from).pin.net, endAt(circuit, to).pin.net];
    return ends.includes("star") && ends.includes("battery.minus");
  });
  return found.length >= 2 ? [] : [`wires from the star to the battery: ${found.length}; two are needed`];
}

function diodeAtQ2(circuit: Circuit): string[] {
  const source = netOf(partOf(circuit, "Q2"), "S");
  const arms = circuit.parts.filter(
    ({ pins }) => pins.some(({ net }) => net === source) && pins.some(({ net }) => net === "arm"),
  );
  const right = arms.length === 1 && arms[0]!.kind === "schottky" && between(arms[0]!, "arm", source);
  return right && source !== "arm"
    ? []
    : ["the arm switch must feed the source of Q2 through one diode and nothing else"];
}

function pinTable(circuit: Circuit): string[] {
  const board = partOf(circuit, "A1");
  return PINS.filter(({ gpio, name, direction }) => {
    const pin = board.pins.find(({ no }) => no === String(headerPin(gpio)));
    return pin?.name !== `GP${gpio}` || pin.net !== name || pin.type !== direction;
  }).map(({ gpio, name }) => `GP${gpio} is not connected as ${name}`);
}

/** Follows each valve's pin through buffer, gate and transistor to the coil, and back to its channel of ADC B. */
function chains(circuit: Circuit): string[] {
  const wires = edges(circuit, () => false, true);
  return VALVES.flatMap((name, i) => {
    const buffer = circuit.parts.find(
      (part) => /541$/.test(part.part) && part.pins.some((pin) => pin.type === "in" && pin.net === name),
    );
    const input = buffer?.pins.find((pin) => pin.net === name)?.name ?? "";
    const output = buffer ? netOf(buffer, input.replace("A", "Y")) : "";
    const gates = reach(
      output,
      edges(circuit, ({ ref }) => ref.endsWith("02") && ref.startsWith("R")),
    );
    const fet = circuit.parts.find((part) => part.kind === "n-fet" && gates.has(netOf(part, "G")));
    const drains = reach(fet ? netOf(fet, "D") : "", wires);
    const coil = circuit.parts.find((part) => part.kind === "coil" && drains.has(part.pins[1]!.net));
    const right = fet?.ref === `Q${i + 1}01` && coil?.part === `coil of the valve ${name}`;
    return right ? [] : [`the pin of ${name} does not lead to its coil`];
  });
}

function behindTheConverters(circuit: Circuit): string[] {
  const taps = edges(circuit, ({ value }) => value === "tap.top" || value === "sensor.top");
  const seen = (ref: string, channel: number, node: string): boolean =>
    reach(netOf(partOf(circuit, ref), `CH${channel}`), taps).has(node);
  const inputs = ADC_A.map((name) =>
    name === "battery" ? "feed" : name === "driverSupply" ? "drv" : `${name}.signal`,
  );
  return [
    ...inputs
      .filter((node, i) => !seen("U8", i, node))
      .map((node) => `ADC A does not see ${node} at its channel`),
    ...SOLENOIDS.filter((name, i) => !seen("U9", i, `${name}.drain`)).map(
      (name) => `ADC B does not see the drain of ${name} at its channel`,
    ),
    ...SLOW_SWITCHES.filter(
      (name, i) => netOf(partOf(circuit, "U10"), "ABCD"[i]!) !== switchNet(`${name}Switch`),
    ).map((name) => `the register does not see the switch ${name} at its bit`),
    ...["H", "SER"]
      .filter((name) => netOf(partOf(circuit, "U10"), name) !== "3v3")
      .map((name) => `${name} of U10 is not high`),
  ];
}

export const OFF: readonly CircuitRule[] = [
  { name: "each output is pulled to off", check: notPulled },
  { name: "nothing joins logic ground and star alone", check: groundAlone },
  { name: "a diode joins them besides", check: groundDiode },
  { name: "pump on logic ground, drivers on the star", check: whoseGround },
  { name: "two ground wires", check: twoGroundWires },
  { name: "a diode in front of Q2", check: diodeAtQ2 },
  { name: "pins as in the pin table", check: pinTable },
  { name: "each pin leads to its coil", check: chains },
  { name: "each channel sees its input", check: behindTheConverters },
];
