// The supply's extremes in time: reversed battery, jump start, load dumps, pulses of the car's wiring, cranking, power coming and going.

import { SOLENOIDS } from "#shared-schema/circuit/drivers.ts";
import type { Values } from "#shared-schema/circuit/graph.ts";
import type { Circuit } from "#shared-schema/circuit/part.ts";
import { type Cutout, type Deck, deckOf } from "./deck.ts";
import { solved, type Trace } from "./engine.ts";
import { worstStress } from "./stress.ts";

/** A case: what the battery's wire does, and in which state the box is. Times in s, volts, ohm. */
export interface Extreme {
  readonly name: string;
  /** Points of the source: time and volts. */
  readonly source: readonly (readonly [number, number])[];
  /** Its resistance; 20 mohm of battery and wire where none is given. */
  readonly ohm?: number;
  /** From this time on the battery's wire is off, and the source reaches it through `ohm` only. */
  readonly looseS?: number;
  /** The source comes on top of the battery, whose wire has this inductance, H, so that fast pulses reach the box. */
  readonly wireH?: number;
  readonly stopS: number;
  readonly stepS: number;
  /** Arm switch closed and the pump's output as with edges, until `pumpS` if given. */
  readonly armed: boolean;
  readonly pumpS?: number;
  /** The key's contact opens then. */
  readonly keyOffS?: number;
  /** Times at which the contact of K1, closed until then, opens and closes in turn. */
  readonly bouncesS?: readonly number[];
  /** The driver of Y1 conducts from 20 ms until then; otherwise its buffer drives nothing, or low with `buffer`. */
  readonly drivenS?: number;
  readonly floating?: boolean;
}

export interface ExtremeTimes {
  /** The part nearest to its rated voltage, the highest voltage across it, and the share of the rating. */
  readonly worst: string;
  readonly worstV: number;
  readonly share: number;
  /** Highest current in the coil of Y1 while its driver is not told to conduct, once what it was told has ended. */
  readonly coilA: number;
  /** Highest gate of Q101 while it is not told to conduct. */
  readonly gateV: number;
  /** Lowest 5 V from the time on at which they first stand. */
  readonly fiveV: number;
  /** Heat in D13, J. */
  readonly dumpJ: number;
  /** Lowest voltage of the controller's feed after 50 ms: what a reversed battery leaves. */
  readonly feedLeastV: number;
  /** From the key or the battery's wire going off until the coil has let go, its driver told to conduct all the while. */
  readonly endS?: number;
}

const NAME = SOLENOIDS[0]!;
const READY_S = 0.02;

/** Everything that stands between battery and one driver, and what the feed leads to. */
export const SUPPLY_REFS: readonly string[] = [
  ...["F1", "K2", "D11", "D12", "D13", "F2", "D14", "C12", "K1", "F3", "R8"],
  ...["D5", "D6", "D7", "D8", "D9", "Q1", "Q2", "R4", "R5", "R6", "R10"],
  ...["R101", "R102", "R103", "Q101", "D101", "D102", "D103", "R104", "R105", "R106", "C101", "D104", "Y1"],
  ...["R1705", "R1706", "C1701", "D1704", "R1805", "R1806", "C1801", "D1804"],
  ...["R2101", "R2102", "R2103", "C2101", "D2101", "R11", "C11", "U5", "C13"],
];

const K1_OUT = "k1.out";
const JOINED: readonly (readonly [string, string])[] = [
  ["battery.minus", "star"],
  ["gnd", "star"],
  ["main.fused", "main.in"],
  ["main", "k1.in"],
  [K1_OUT, "drv"],
  ["key.diode", "k2.coil"],
  ["k2.ground", "star"],
  ["pump.coil", "k1.coil"],
  ["k1.ground", "star"],
  ["stage1", "Y1.supply"],
  [`${NAME}.drain`, "Y1.drain"],
];

const pwl = (points: readonly (readonly [number, number])[]): string =>
  `PWL(${points.map(([s, v]) => `${s} ${v}`).join(" ")})`;

/** A contact of two nets that is closed, and opens and closes in turn at the times given. */
const movesAt = (name: string, a: string, b: string, times: readonly number[]): string[] => {
  const points = times.flatMap((s, i): [number, number][] => [
    [s, (i + 1) % 2],
    [s + 1e-6, i % 2],
  ]);
  return [`V${name} ${name}_on 0 ${pwl([[0, 1], ...points])}`, `S${name} ${a} ${b} ${name}_on 0 HAND`];
};
const untilS = (name: string, a: string, b: string, s: number | undefined): string[] =>
  movesAt(name, a, b, s === undefined ? [] : [s]);

/** The converter U2 as a source that follows its input when that is low, with what it feeds, and the current that it takes. */
const converter = (values: Values): string[] => {
  const [five, amps] = [values("pump.supply"), values("supply.five-current")];
  const watts = (five * amps) / values("supply.efficiency");
  const least = values("supply.converter-lowest");
  return [
    `Bfive five 0 V=min(${five}, max(0, v({feed})-${least - five}))`,
    "Rfive five {5v} 0.1",
    `Rload {5v} 0 ${five / amps}`,
    `Bin {feed} 0 I=${watts}/max(v({feed}),${least})*min(1,max(0,v({feed})-1))`,
  ];
};

function source(extreme: Extreme): string[] {
  const ohm = extreme.ohm ?? 0.02;
  const battery = ["Vfirm firm 0 13.8"];
  const wired = extreme.wireH === undefined ? [] : [...battery, `Lwire firm {battery} ${extreme.wireH}`];
  const loose = extreme.looseS === undefined ? [] : untilS("battery", "firm", "{battery}", extreme.looseS);
  return [
    `Vsource source 0 ${pwl(extreme.source)}`,
    `Rsource source {battery} ${ohm}`,
    ...wired,
    ...(loose.length > 0 ? [...battery, ...loose] : []),
  ];
}

function cutout(extreme: Extreme, values: Values): Cutout {
  const { armed, pumpS, keyOffS, drivenS, floating } = extreme;
  const drive =
    drivenS === undefined
      ? "0"
      : pwl([
          [0, 0],
          [READY_S, 0],
          [READY_S + 1e-6, 5],
          [drivenS, 5],
          [drivenS + 1e-6, 0],
        ]);
  return {
    refs: SUPPLY_REFS,
    contacts: true,
    joined: [
      ...JOINED.filter(([net]) => !extreme.bouncesS || net !== K1_OUT),
      ...(armed ? ([["feed", "arm"]] as const) : []),
    ],
    sources: [
      ".model HAND SW(VT=0.5 VH=0.1 RON=5m ROFF=1e8)",
      ...source(extreme),
      ...(extreme.bouncesS ? movesAt("bounce", `{${K1_OUT}}`, "{drv}", extreme.bouncesS) : []),
      ...untilS("key", "{battery}", "{key}", keyOffS),
      ...converter(values),
      // The pump's output as it stands with edges.
      `Vpump pump 0 ${
        armed
          ? pwl([
              [0, 0],
              [5e-3, 0],
              [5.1e-3, 3],
              [pumpS ?? 9, 3],
              [(pumpS ?? 9) + 1e-3, 0],
            ])
          : "0"
      }`,
      "Rpump pump {pump.out} 1k",
      `Vdrive drive 0 ${drive}`,
      `Rdrive drive {${NAME}.buffer} ${floating ? 1e8 : 30}`,
    ],
    save: ["all"],
    stepS: extreme.stepS,
    stopS: extreme.stopS,
  };
}

const highest = (list: readonly number[]): number => list.reduce((most, v) => Math.max(most, v), 0);

function measured(
  circuit: Circuit,
  trace: Trace,
  { drivenS, stopS, keyOffS, looseS }: Extreme,
  values: Values,
): ExtremeTimes {
  const { time } = trace;
  const at = (net: string): readonly number[] => trace.vector(`v(n_${net.replace(/\W/g, "_")})`);
  // After a command the coil's current may take as long as with a plain diode.
  const off = (s: number, grace: number): boolean =>
    drivenS === undefined || s < READY_S || s > drivenS + grace;
  const amps = trace.vector("i(ly1)").filter((_, i) => off(time[i]!, values("clamp.release-diode") * 1.2));
  const gate = at(`${NAME}.gate`).filter((_, i) => off(time[i]!, 0.1e-3));
  const [main, five, feed] = [at("main"), at("5v"), at("feed")];
  const stands = five.findIndex((v) => v > 4.75);
  const breakdown = values("dump.breakdown-highest");
  const slope = (values("dump.clamp") - breakdown) / values("dump.rated-current");
  const heat = (v: number): number => (Math.max(0, v - breakdown) / slope) * v;
  const cutS = keyOffS ?? looseS;
  const coil = trace.vector("i(ly1)");
  const last = time.findLastIndex((_, i) => Math.abs(coil[i]!) > values("coil.release-current"));
  const ends = cutS !== undefined && drivenS === stopS ? { endS: time[last]! - cutS } : {};
  let dumpJ = 0;
  for (let i = 1; i < time.length; i++) dumpJ += heat(main[i]!) * (time[i]! - time[i - 1]!);
  return {
    ...worstStress(circuit, SUPPLY_REFS, trace, values),
    coilA: highest(amps.map(Math.abs)),
    gateV: highest(gate),
    fiveV: stands < 0 ? 0 : five.slice(stands).reduce((least, v) => Math.min(least, v), 9),
    dumpJ,
    ...ends,
    feedLeastV: feed.filter((_, i) => time[i]! > stopS / 2).reduce((least, v) => Math.min(least, v), 99),
  };
}

/** The deck of a case. */
export const extremeDeck = (circuit: Circuit, extreme: Extreme, values: Values): Deck =>
  deckOf(circuit, cutout(extreme, values), values);

/** Solves it. */
export async function extremeTimes(
  circuit: Circuit,
  extreme: Extreme,
  values: Values,
): Promise<ExtremeTimes> {
  return measured(circuit, await solved(extremeDeck(circuit, extreme, values)), extreme, values);
}
