// Solves the circuit in a scene with a fault: the current of each valve's coil, after all states have settled.
import { type End, endAt } from "#shared-schema/circuit/circuit.ts";
import type { Values } from "#shared-schema/circuit/graph.ts";
import type { Circuit, Part } from "#shared-schema/circuit/part.ts";
import { type Device, resistance, type Volts } from "./devices.ts";
import type { CircuitFault } from "./faults.ts";
import { devices, type Scene, WIRE } from "./model.ts";
import { Network } from "./solver.ts";

/** What became of a scene. `settled` is false when the states kept changing, as in a gate whose output is at its input. */
export interface Solved {
  readonly settled: boolean;
  /** Current of each valve's coil, A, without sign. */
  readonly coils: ReadonlyMap<string, number>;
  /** Voltage of a net against the battery's minus. Throws when there is no such net. */
  readonly volts: (net: string) => number;
}

const ROUNDS = 150;
const ALL_AT_ONCE = 25;
const KEPT = 60;

/** Numbers for nets: the battery's minus is 0. */
class Nodes {
  readonly #numbers = new Map<string, number>([["battery.minus", 0]]);

  of(net: string): number {
    const known = this.#numbers.get(net);
    if (known !== undefined) return known;
    this.#numbers.set(net, this.#numbers.size);
    return this.#numbers.size - 1;
  }

  get size(): number {
    return this.#numbers.size;
  }
}

function pinNet(part: Part, name: string, fault: CircuitFault): string {
  const pin = part.pins.find((one) => one.no === name) ?? part.pins.find((one) => one.name === name);
  if (!pin) throw new Error(`${part.ref} has no pin ${name}`);
  const end = `${part.ref}.${pin.no}`;
  return pin.net === "" || fault.open === end ? `${end} open` : pin.net;
}

/** Solves with the states as they are. */
function once(all: readonly Device[], nodes: number): Volts {
  const net = new Network(nodes);
  for (const device of all) device.stamp(net);
  return net.solve();
}

/** Lets states follow the voltages: all at once first, later one by one, so that two that wait for each other come to rest. */
function follow(all: readonly Device[], volts: Volts, round: number): boolean {
  const quick = round < ALL_AT_ONCE;
  let changed = false;
  for (let i = 0; i < all.length; i++) {
    if (!all[quick ? i : (i + 7 * round) % all.length]!.settle(volts)) continue;
    changed = true;
    if (!quick) break;
  }
  return changed;
}

/** Voltages at rest; or, where states keep changing, those of all later rounds: whatever flows in one of them counts. */
function rest(all: readonly Device[], nodes: number): { settled: boolean; seen: Volts[] } {
  const quick = all.filter(({ slow }) => !slow);
  const slow = all.filter((device) => device.slow);
  const seen: Volts[] = [];
  for (let round = 0; round < ROUNDS; round++) {
    const volts = once(all, nodes);
    if (round >= ROUNDS - KEPT) seen.push(volts);
    const moving = follow(quick, volts, round);
    // A relay does not wait for a gate that never comes to rest.
    if (moving && round % 20 !== 19) continue;
    const switched = slow.map((device) => device.settle(volts)).includes(true);
    if (!moving && !switched) return { settled: true, seen: [volts] };
  }
  return { settled: false, seen };
}

/** Solves it. */
export function solve(
  circuit: Circuit,
  scene: Scene,
  values: Values,
  fault: CircuitFault = { name: "none" },
): Solved {
  const nodes = new Nodes();
  const at = (part: Part, name: string): number => nodes.of(pinNet(part, name, fault));
  // A connector's open pin parts its wire from the net; at any other part the wires stay on the net that the pin has left.
  const end = ({ part, pin }: End): number =>
    part.kind === "connector" ? at(part, pin.no) : nodes.of(pin.net);
  const high = nodes.of("A1 high");
  const parts = devices(circuit, at, scene, values, high);
  const wires = circuit.wires
    .filter(({ ref }) => ref !== fault.cut)
    .map(({ from, to }) => resistance(end(endAt(circuit, from)), end(endAt(circuit, to)), WIRE));
  const joined = fault.join ? [resistance(nodes.of(fault.join[0]), nodes.of(fault.join[1]), WIRE)] : [];
  const { settled, seen } = rest([...parts, ...wires, ...joined], nodes.size);
  const coils = circuit.parts.filter(({ kind }) => kind === "coil");
  const current = (part: Part): number => {
    const ohm = values(part.value!);
    const [a, b] = [at(part, "1"), at(part, "2")];
    return Math.max(...seen.map((volts) => Math.abs(volts[a]! - volts[b]!))) / ohm;
  };
  return {
    settled,
    coils: new Map(coils.map((part) => [part.ref, current(part)])),
    volts: (net) => {
      const found = seen.at(-1)![nodes.of(net)];
      if (found === undefined) throw new Error(`no net ${net}`);
      return found;
    },
  };
}

/** Highest current of any coil, A. */
export const worst = ({ coils }: Solved): number => Math.max(...coils.values());

const BASE = { battery: 14.4, keyOn: true };
/** The scenes that every single fault is put into. */
export const SCENES: Readonly<Record<string, Scene>> = {
  "arm off, keep-alive low": { ...BASE, armClosed: false, program: "obeys", keepAlive: "low" },
  "arm off, keep-alive high": { ...BASE, armClosed: false, program: "obeys", keepAlive: "high" },
  "arm off, keep-alive with edges": { ...BASE, armClosed: false, program: "obeys", keepAlive: "edges" },
  "arm on, processor in reset": { ...BASE, armClosed: true, program: "reset", keepAlive: "low" },
};
/** Current from which a coil counts as carrying one: a sixth of that at which the example's valve lets go. */
export const CARRIES_A = 0.05;
