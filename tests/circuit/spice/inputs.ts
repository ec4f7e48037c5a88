// Inputs in time: battery on sensor and switch wires, and what the filters leave of a disturbance.

import type { Values } from "#shared-schema/circuit/graph.ts";
import { SENSORS } from "#shared-schema/circuit/inputs.ts";
import type { Circuit } from "#shared-schema/circuit/part.ts";
import { type Cutout, type Deck, deckOf } from "./deck.ts";
import { solved } from "./engine.ts";

/** Battery on wires: volts, and which sensors' wires have it; the throttle switch's wire has it too. */
export interface Overvoltage {
  readonly name: string;
  readonly volts: number;
  readonly sensors: readonly string[];
}

export interface OvervoltageTimes {
  /** Highest voltage at a converter's channel whose wire is at fault, and at the pin of the switch. */
  readonly channelV: number;
  readonly pinV: number;
  /** How far the reading of a sound sensor moves, V at its wire; left out where none is sound. */
  readonly movesV?: number;
  readonly railV: number;
}

const RAIL_REFS = ["R11", "C11", "U5"] as const;
const HALF_V = 2.5;
const sensorRefs = (i: number): string[] => {
  const n = 11 + i;
  return [`R${n}01`, `R${n}02`, `C${n}01`, `D${n}01`];
};
const safe = (net: string): string => net.replace(/\W/g, "_");

function overvoltageCutout({ volts, sensors }: Overvoltage): Cutout {
  return {
    refs: [
      ...SENSORS.flatMap((_, i) => sensorRefs(i)),
      ...RAIL_REFS,
      "R2201",
      "R2202",
      "R2203",
      "C2201",
      "D2201",
    ],
    joined: [["gnd", "star"]],
    sources: [
      "Vfive {5v} 0 5",
      ...SENSORS.flatMap((name) => {
        const wave = sensors.includes(name) ? `PWL(0 ${HALF_V} 0.3 ${HALF_V} 0.3001 ${volts})` : `${HALF_V}`;
        return [`V${name} drive_${name} 0 ${wave}`, `R${name} drive_${name} {${name}.signal} 1`];
      }),
      `Vswitch {throttle} 0 PWL(0 0 0.3 0 0.3001 ${volts})`,
    ],
    save: ["all"],
    stepS: 1e-3,
    stopS: 0.6,
  };
}

export const overvoltageDeck = (circuit: Circuit, one: Overvoltage, values: Values): Deck =>
  deckOf(circuit, overvoltageCutout(one), values);

export async function overvoltageTimes(
  circuit: Circuit,
  one: Overvoltage,
  values: Values,
): Promise<OvervoltageTimes> {
  const trace = await solved(overvoltageDeck(circuit, one, values));
  const at = (net: string): readonly number[] => trace.vector(`v(n_${safe(net)})`);
  const most = (net: string): number => at(net).reduce((high, v) => Math.max(high, v), 0);
  const before = trace.time.findLastIndex((s) => s < 0.3);
  const ratio = (values("sensor.top") + values("sensor.bottom")) / values("sensor.bottom");
  const sound = SENSORS.filter((name) => !one.sensors.includes(name)).map((name) => at(`${name}.adc`));
  const moves = sound.map((volts) => Math.abs(volts.at(-1)! - volts[before]!) * ratio);
  return {
    channelV: Math.max(...one.sensors.map((name) => most(`${name}.adc`))),
    pinV: most("throttleSwitch"),
    ...(moves.length > 0 ? { movesV: Math.max(...moves) } : {}),
    railV: most("rail"),
  };
}

/** A disturbance at an input: its wire, the net behind its filter, the share that its divider leaves of direct voltage. */
export interface Filter {
  readonly name: string;
  readonly wire: string;
  readonly net: string;
  readonly refs: readonly string[];
  readonly hz: number;
}

const PERIODS = 12;

/** What is left of a sine at a filter's output, against what is left of direct voltage. */
export interface FilterTimes {
  readonly left: number;
}

export function filterDeck(circuit: Circuit, { refs, wire, hz }: Filter, values: Values): Deck {
  const stopS = Math.max(PERIODS / hz, 10e-3);
  return deckOf(
    circuit,
    {
      refs: [...refs, ...RAIL_REFS],
      joined: [["gnd", "star"]],
      sources: ["Vfive {5v} 0 5", `Vwave {${wire}} 0 SIN(2 0.5 ${hz})`],
      save: ["all"],
      stepS: Math.min(stopS / 1000, 1 / hz / 50),
      stopS,
    },
    values,
  );
}

export async function filterTimes(circuit: Circuit, filter: Filter, values: Values): Promise<FilterTimes> {
  const trace = await solved(filterDeck(circuit, filter, values));
  const out = trace
    .vector(`v(n_${safe(filter.net)})`)
    .filter((_, i) => trace.time[i]! > 0.6 * trace.time.at(-1)!);
  const swing = Math.max(...out) - Math.min(...out);
  const [top, bottom] = filter.refs
    .filter((ref) => ref.startsWith("R"))
    .map((ref) => values(circuit.parts.find((part) => part.ref === ref)!.value!));
  return { left: swing / (bottom! / (top! + bottom!)) };
}

/** Battery on wires: what is tried. */
export const overvoltages = (values: Values): readonly Overvoltage[] => [
  { name: "14.4 V on the wire of one sensor", volts: 14.4, sensors: ["bottle"] },
  { name: "28 V on the wire of one sensor", volts: values("supply.jump"), sensors: ["bottle"] },
  { name: "14.4 V on the wires of all sensors", volts: 14.4, sensors: SENSORS },
];

const HZ = [10, 100, 500, 1000, 5000] as const;
/** Disturbances that are tried. */
export const FILTERS: readonly Filter[] = [
  ...HZ.map(
    (hz): Filter => ({
      name: `sensor, ${hz} Hz`,
      wire: "throttle.signal",
      net: "throttle.adc",
      refs: sensorRefs(0),
      hz,
    }),
  ),
  ...HZ.map(
    (hz): Filter => ({
      name: `drain tap, ${hz} Hz`,
      wire: "nitrous1.drain",
      net: "nitrous1.tap",
      refs: ["R105", "R106", "C101", "D104"],
      hz,
    }),
  ),
];
