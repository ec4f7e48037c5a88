// A part of the circuit as a SPICE deck: parts from the netlist with their values, one fault in it, and what surrounds it.
import type { Values } from "#shared-schema/circuit/graph.ts";
import type { Circuit, Part } from "#shared-schema/circuit/part.ts";
import type { CircuitFault } from "../faults.ts";

/** What is simulated: which parts, how the rest of the circuit joins their nets, what feeds them, what is looked at. */
export interface Cutout {
  readonly refs: readonly string[];
  /** Nets that wires or contacts join. */
  readonly joined: readonly (readonly [string, string])[];
  /** Lines of the sources; nets stand in braces. */
  readonly sources: readonly string[];
  /** A pin whose current is looked at, as `i(vsense)`: into the part. */
  readonly sensed?: string;
  readonly save: readonly string[];
  /** Whether the contacts of relays count. */
  readonly contacts?: boolean;
  /** Temperature of all parts, 27 C where none is given. */
  readonly celsius?: number;
  readonly stepS: number;
  readonly stopS: number;
}

/** Resistance of a wire, a closed contact, a fuse or a short, ohm; and of what is open. */
const CLOSED = 0.005;
const OPEN = 1e9;
/** Capacitance of a transistor at its gate, at its drain, and between the two, F: [assumed]. */
const GATE_F = 1e-9;
const DRAIN_F = 0.5e-9;
const MILLER_F = 0.1e-9;

/** Model of a suppressor by the key of its breakdown. */
const suppressor = (key: string): string =>
  key === "dump.stand-off" ? "DDUMP" : `D${key.replace(/\W/g, "").toUpperCase()}`;

/** Generic models; where they come from stands beside them in hardware-notes (values.json) or here: [assumed]. */
const models = (values: Values): string[] => [
  ".model DPLAIN D(IS=1e-9 N=1.7 RS=0.03 TT=50n)",
  ".model DSCHOTTKY D(IS=2e-7 N=1.05 RS=0.5 CJO=20p)",
  `.model DRAIL D(IS=1e-12 RS=${values("rail.impedance")} BV=${values("rail.voltage")} IBV=1m)`,
  // A suppressor across the supply, from its highest breakdown on.
  `.model DDUMP D(IS=1e-12 RS=${(values("dump.clamp") - values("dump.breakdown-highest")) / values("dump.rated-current")} BV=${values("dump.breakdown-highest")} IBV=10m)`,
  // A transistor's own diode breaks down at the voltage that it is rated for.
  `.model DBODY D(IS=1e-11 N=1.1 RS=0.01 BV=${values("driver.fet-voltage")} IBV=10m)`,
  ...(["clamp.voltage", "relay.clamp"] as const).map(
    (key) => `.model ${suppressor(key)} D(IS=1e-12 RS=${values("clamp.slope")} BV=${values(key)} IBV=10m)`,
  ),
  `.model DZENER D(IS=1e-12 RS=2 BV=${values("pump.gate-zener")} IBV=1m)`,
  `.model QNPN NPN(IS=1e-14 BF=${values("pump.gain")} CJC=4p CJE=8p TF=0.4n)`,
  ".model MN NMOS(LEVEL=1 VTO=1.8 KP=20 RD=0.02 RS=0.005)",
  ".model MP PMOS(LEVEL=1 VTO=-1.8 KP=3 RD=0.05 RS=0.02)",
];

const safe = (net: string): string => (net === "star" ? "0" : `n_${net.replace(/\W/g, "_")}`);

function transistor(part: Part, at: (pin: string) => string): string[] {
  const { ref } = part;
  if (part.kind === "npn") return [`Q${ref} ${at("C")} ${at("B")} ${at("E")} QNPN`];
  const [model, from, to] = part.kind === "n-fet" ? ["MN", "S", "D"] : ["MP", "D", "S"];
  return [
    `M${ref} ${at("D")} ${at("G")} ${at("S")} ${at("S")} ${model} W=1u L=1u`,
    `D${ref}b ${at(from!)} ${at(to!)} DBODY`,
    `C${ref}g ${at("G")} ${at("S")} ${GATE_F}`,
    `C${ref}d ${at("D")} ${at("S")} ${DRAIN_F}`,
    `C${ref}m ${at("D")} ${at("G")} ${MILLER_F}`,
  ];
}

/** A relay's coil; where contacts count, with a contact that follows its current at once: the moving parts are not in it. */
function relay(part: Part, at: (pin: string) => string, values: Values, contacts: boolean): string[] {
  const { ref } = part;
  const sensed = contacts ? `${ref}_end` : at("85");
  const wound = coil(ref, at("86"), sensed, values(part.value!), values("relay.inductance"));
  const [most, least] = [values("relay.pull-in"), values("relay.drop-out")];
  if (!contacts) return wound;
  return [
    ...wound,
    `V${ref} ${sensed} ${at("85")} 0`,
    `.model ${ref}C CSW(IT=${(most + least) / 2} IH=${(most - least) / 2} RON=${CLOSED} ROFF=1e8)`,
    `W${ref} ${at("30")} ${at("87")} V${ref} ${ref}C`,
  ];
}

/** A coil as resistance and inductance in series; its current is that of L and its reference. */
function coil(ref: string, a: string, b: string, ohm: number, henry: number): string[] {
  return [`R${ref} ${a} ${ref}_in ${ohm}`, `L${ref} ${ref}_in ${b} ${henry}`];
}

const DIODES: Partial<Record<Part["kind"], string>> = {
  diode: "DPLAIN",
  schottky: "DSCHOTTKY",
  zener: "DZENER",
};

function lines(part: Part, at: (pin: string) => string, values: Values, contacts: boolean): string[] {
  const { ref, kind } = part;
  const model = kind === "suppressor" ? suppressor(part.value!) : DIODES[kind];
  if (model) return [`D${ref} ${at("A")} ${at("K")} ${model}`];
  switch (kind) {
    case "resistor":
      return [`R${ref} ${at("1")} ${at("2")} ${values(part.value!)}`];
    case "capacitor":
      return [`C${ref} ${at("1")} ${at("2")} ${values(part.value!)}`];
    case "chip":
      // The shunt regulator holds the rail, anode at 2, cathode at 3; no other chip is in a deck.
      return [`D${ref} ${at("2")} ${at("3")} DRAIL`];
    case "coil":
      return coil(ref, at("1"), at("2"), values(part.value!), values("coil.inductance"));
    case "relay":
      return relay(part, at, values, contacts);
    case "fuse":
    case "switch":
      return [`R${ref} ${at("1")} ${at("2")} ${CLOSED}`];
    case "schottky pair":
      return [`D${ref}a ${at("A")} ${at("AK")} DSCHOTTKY`, `D${ref}k ${at("AK")} ${at("K")} DSCHOTTKY`];
    case "npn":
    case "n-fet":
    case "p-fet":
      return transistor(part, at);
    default:
      throw new Error(`${ref}: no SPICE model of a ${kind}`);
  }
}

/** The net that a sensed pin has to itself. */
const SENSED = "sensed";

/** Ends of the source without voltage that stands in a sensed pin: its net, and the pin's own. */
function sensor({ parts }: Circuit, sensed: string | undefined): [string, string][] {
  if (sensed === undefined) return [];
  const [ref, no] = sensed.split(".");
  const pin = parts.find((part) => part.ref === ref)?.pins.find((one) => one.no === no);
  if (!pin) throw new Error(`no pin ${sensed}`);
  return [[pin.net, SENSED]];
}

/** Text for the simulator, and up to which time it must come, s. */
export interface Deck {
  readonly text: string;
  readonly stopS: number;
}

/** The deck. Every node hangs on the star by a very large resistor, so that what is cut off has a voltage. */
export function deckOf(circuit: Circuit, cutout: Cutout, values: Values, fault?: CircuitFault): Deck {
  const nodes = new Set<string>();
  const node = (net: string): string => {
    const name = safe(net);
    if (name !== "0") nodes.add(name);
    return name;
  };
  const parts = circuit.parts.filter(({ ref }) => cutout.refs.includes(ref));
  const sense = sensor(circuit, cutout.sensed).map(([a, b]) => `Vsense ${node(a)} ${node(b)} 0`);
  const pinNode = (part: Part, no: string): string => {
    const [pin, { net }] = [`${part.ref}.${no}`, part.pins.find((one) => one.no === no)!];
    if (fault?.open === pin) return node(`open.${pin}`);
    return node(cutout.sensed === pin ? SENSED : net);
  };
  const body = parts.flatMap((part) =>
    lines(part, (no) => pinNode(part, no), values, cutout.contacts ?? false),
  );
  const joined = [...cutout.joined, ...(fault?.join ? [fault.join] : [])].map(
    ([a, b], i) => `Rjoin${i} ${node(a)} ${node(b)} ${CLOSED}`,
  );
  const sources = cutout.sources.map((line) => line.replace(/\{([^}]+)\}/g, (_, net: string) => node(net)));
  const text = [
    fault?.name ?? "whole",
    ...models(values),
    ...body,
    ...sense,
    ...joined,
    ...sources,
    ...[...nodes].map((name, i) => `Rany${i} ${name} 0 ${OPEN}`),
    `.options method=gear reltol=0.002 temp=${cutout.celsius ?? 27}`,
    `.save ${cutout.save.map((line) => line.replace(/\{([^}]+)\}/g, (_, net: string) => safe(net))).join(" ")}`,
    `.tran ${cutout.stepS} ${cutout.stopS} 0 ${5 * cutout.stepS} uic`,
    ".end",
  ].join("\n");
  return { text, stopS: cutout.stopS };
}
