// The circuit as devices for direct current, on the pessimistic side: low thresholds, inputs that read high when in doubt.
import { partOf } from "#shared-schema/circuit/circuit.ts";
import type { Values } from "#shared-schema/circuit/graph.ts";
import type { Circuit, Part } from "#shared-schema/circuit/part.ts";
import { PINS } from "#shared-schema/model/pins.ts";
import { contact, type Device, junction, output, resistance, supply, type Volts } from "./devices.ts";

/** What the world outside does: battery, switches, and what the processor makes of its pins. */
export interface Scene {
  readonly battery: number;
  readonly armClosed: boolean;
  readonly keyOn: boolean;
  /** `obeys`: as the arm input reads; `reset`: drives nothing; `wild`: every output high and the keep-alive toggling. */
  readonly program: "obeys" | "reset" | "wild";
  /** What the keep-alive does when the program does not arm; `edges` feed the pump whatever is wrong in it. */
  readonly keepAlive: "low" | "high" | "edges";
}

/** Node of a part's pin. */
export type NodeOf = (part: Part, pin: string) => number;
type Build = (part: Part, at: (pin: string) => number) => Device[];

const LEAST_SUPPLY = 2;
/** Resistance of a wire, a closed contact or a short, ohm. */
export const WIRE = 0.005;

function driven(
  scene: Scene,
  at: (pin: string) => number,
): (name: string) => (v: Volts) => 0 | 1 | undefined {
  const above = (v: Volts, pin: string): number => v[at(pin)]! - v[at("GND")]!;
  const armed = (v: Volts): boolean => scene.program === "wild" || above(v, "GP21") > 0.8;
  return (name) => (v) => {
    if (scene.program === "reset" || above(v, "VSYS") < 1.8) return undefined;
    if (name === "keepAlive") return scene.keepAlive === "high" ? 1 : 0;
    return armed(v) ? 1 : 0;
  };
}

/** The diodes inside a chip at one of its pins: from its ground, and to its supply. They conduct when the chip has no supply, too. */
function inside(pin: number, ground: number, power: number): Device[] {
  return [junction(ground, pin, 0.7), junction(pin, power, 0.7)];
}

/** A high pin is 3.3 V above the board's ground: a node of its own, `high`. */
function board(part: Part, at: (pin: string) => number, scene: Scene, high: number): Device[] {
  const level = driven(scene, at);
  const moved = PINS.filter(({ kind }) => kind === "solenoid" || kind === "output");
  return [
    resistance(at("VSYS"), at("GND"), 60),
    supply(high, at("GND"), 3.3, 1, (v) => v[at("VSYS")]! - v[at("GND")]! > 1.8),
    ...moved.map(({ gpio, name }) => output(at(`GP${gpio}`), at("GND"), high, 50, level(name))),
    ...moved.flatMap(({ gpio }) => inside(at(`GP${gpio}`), at("GND"), high)),
    // Every ground pin is one and the same inside.
    ...part.pins.filter(({ type }) => type === "ground").map(({ no }) => resistance(at(no), at("GND"), WIRE)),
  ];
}

function gates(part: Part, at: (pin: string) => number, threshold: number): Device[] {
  const inverts = part.part.endsWith("14");
  const enabled = (v: Volts): boolean =>
    inverts || ["OE1", "OE2"].every((oe) => v[at(oe)]! - v[at("GND")]! < 2);
  const works = (v: Volts): boolean => v[at("VCC")]! - v[at("GND")]! > LEAST_SUPPLY && enabled(v);
  const outs = part.pins.filter(({ type }) => type === "out");
  return [
    resistance(at("VCC"), at("GND"), 1000),
    ...outs.flatMap(({ name }) => inside(at(name), at("GND"), at("VCC"))),
    ...outs.map(({ name }) =>
      output(at(name), at("GND"), at("VCC"), 30, (v) => {
        if (!works(v)) return undefined;
        const high = v[at(name.replace("Y", "A"))]! - v[at("GND")]! > threshold;
        return high !== inverts ? 1 : 0;
      }),
    ),
  ];
}

function regulator(part: Part, at: (pin: string) => number): Device[] {
  const has = (v: Volts, least: number): boolean => v[at("VIN")]! - v[at("GND")]! > least;
  if (part.ref === "U4") {
    const forward = (v: Volts): boolean => v[at("VIN")]! >= v[at("VOUT")]!;
    const blocks = part.part.includes("blocks current back");
    return [contact(at("VIN"), at("VOUT"), 0.5, true, (v) => !blocks || forward(v))];
  }
  const [volts, least, load] = part.ref === "U2" ? [5, 5.5, 60] : [3.3, 3.4, 1000];
  return [
    resistance(at("VIN"), at("GND"), load!),
    supply(at("VOUT"), at("GND"), volts!, 0.1, (v) => has(v, least!)),
  ];
}

function chip(part: Part, at: (pin: string) => number, scene: Scene, high: number): Device[] {
  if (part.ref === "A1") return board(part, at, scene, high);
  if (/HCT/.test(part.part)) return gates(part, at, part.part.endsWith("14") ? 1.4 : 0.8);
  if (part.ref === "U5") return [junction(at("A"), at("K"), 0.7, 3.3)];
  if (/^U[234]$/.test(part.ref)) return regulator(part, at);
  const power = part.pins.find(({ type }) => type === "power")!;
  const ground = part.pins.find(({ type }) => type === "ground")!;
  return [resistance(at(power.no), at(ground.no), 10_000)];
}

function relay(part: Part, at: (pin: string) => number, values: Values): Device[] {
  const ohm = values("relay.resistance");
  const current = (v: Volts): number => Math.abs(v[at("86")]! - v[at("85")]!) / ohm;
  const [dropOut, pullIn] = [values("relay.drop-out"), values("relay.pull-in")];
  const holds = (v: Volts, now: boolean): boolean => current(v) > (now ? dropOut : pullIn);
  // A relay begins closed, as it was before the arm switch opened; the contact of K3 belongs to the heater's own circuit.
  const closes = part.ref !== "K3";
  return [
    resistance(at("86"), at("85"), ohm),
    ...(closes ? [contact(at("30"), at("87"), WIRE, true, holds, true)] : []),
  ];
}

function transistor(part: Part, at: (pin: string) => number): Device[] {
  if (part.kind === "npn") {
    // Base current from 2 uA on is taken as enough.
    return [
      junction(at("B"), at("E"), 0.45),
      contact(at("C"), at("E"), 10, false, (v) => v[at("B")]! - v[at("E")]! > 0.45),
    ];
  }
  const sign = part.kind === "n-fet" ? 1 : -1;
  const [from, to] = sign > 0 ? (["S", "D"] as const) : (["D", "S"] as const);
  return [
    contact(at("D"), at("S"), 0.05, false, (v) => sign * (v[at("G")]! - v[at("S")]!) > 1),
    junction(at(from), at(to), 0.7),
  ];
}

/** Closed as the scene says; the rest of the switches are open, which lets no current in. */
function handClosed(ref: string, scene: Scene): boolean {
  return ref === "S1" ? scene.armClosed : ref === "S2" ? scene.keyOn : false;
}

/** Devices of the whole circuit. `high` is a free node for the board's own 3.3 V. */
export function devices(
  circuit: Circuit,
  nodeOf: NodeOf,
  scene: Scene,
  values: Values,
  high: number,
): Device[] {
  const small: Partial<Record<Part["kind"], Build>> = {
    resistor: (part, at) => [resistance(at("1"), at("2"), values(part.value!))],
    coil: (part, at) => [resistance(at("1"), at("2"), values(part.value!))],
    diode: (_, at) => [junction(at("A"), at("K"), 0.7)],
    schottky: (_, at) => [junction(at("A"), at("K"), 0.3)],
    "schottky pair": (_, at) => [junction(at("A"), at("AK"), 0.3), junction(at("AK"), at("K"), 0.3)],
    zener: (part, at) => [junction(at("A"), at("K"), 0.7, values(part.value!))],
    suppressor: (part, at) => [junction(at("A"), at("K"), 0.7, values(part.value!))],
    npn: transistor,
    "n-fet": transistor,
    "p-fet": transistor,
    fuse: (_, at) => [resistance(at("1"), at("2"), WIRE)],
    link: (_, at) => [resistance(at("1"), at("2"), WIRE)],
    jumper: (_, at) => [resistance(at("1"), at("2"), WIRE)],
    switch: (part, at) => (handClosed(part.ref, scene) ? [resistance(at("1"), at("2"), WIRE)] : []),
    relay: (part, at) => relay(part, at, values),
    chip: (part, at) => chip(part, at, scene, high),
    battery: (_, at) => [supplyOfBattery(at("+"), at("-"), scene.battery)],
    sensor: (_, at) => [
      resistance(at("supply"), at("signal"), 500),
      resistance(at("signal"), at("ground"), 500),
    ],
  };
  const own = circuit.parts.flatMap((part) => small[part.kind]?.(part, (pin) => nodeOf(part, pin)) ?? []);
  const pump = (name: string) =>
    nodeOf(partOf(circuit, name === "gnd" ? "U1" : "C3"), name === "gnd" ? "GND" : "1");
  const fed = scene.keepAlive === "edges" || scene.program === "wild";
  return fed ? [...own, supply(pump("out"), pump("gnd"), 3, 2000, () => true)] : own;
}

/** The battery sinks as well as it sources; reversed it has a negative voltage. */
function supplyOfBattery(plus: number, minus: number, volts: number): Device {
  return { stamp: (net) => net.branch(plus, minus, 100, volts), settle: () => false };
}
