// Way 2 in time: charge pump, the transistors that it holds and the coil of the master relay, in four profiles of the keep-alive pin.
import type { Values } from "#shared-schema/circuit/graph.ts";
import type { Circuit } from "#shared-schema/circuit/part.ts";
import { PUMP } from "#shared-schema/circuit/pump.ts";
import type { CircuitFault } from "../faults.ts";
import { type Cutout, type Deck, deckOf } from "./deck.ts";
import { solved, type Trace } from "./engine.ts";

/** What the keep-alive pin does: nothing but a level, or edges a tick apart that end at a level. */
export const PROFILES = ["low", "high", "edges then low", "edges then high"] as const;
export type Profile = (typeof PROFILES)[number];

/** Conditions of a run: supply, and factors and values of parts that move with temperature and tolerance. */
export interface PumpCorner {
  readonly volts: number;
  readonly logicVolts: number;
  readonly capacitors: number;
  readonly gain: number;
  readonly celsius: number;
}

/** What the relay's coil did. */
export interface PumpTimes {
  /** The current passed what pulls the relay in, A at most. */
  readonly mostA: number;
  /** Least current over the last ten edges, A; left out where there are none. */
  readonly heldA?: number;
  /** From the last edge, or from the start, until the current has fallen under what holds the relay; left out for never. */
  readonly releaseS?: number;
}

const STEP_S = 20e-6;
const EDGE_S = 1e-3;
const EDGES = 40;
const SETTLE_S = 0.02;
const AFTER_S = 0.06;

/** Parts whose failures are tried: all that carry the pump's charge, the transistors and the relay's clamp. */
export const PUMP_REFS: readonly string[] = PUMP.map(({ ref }) => ref).filter(
  (ref) => !["J1", "R7"].includes(ref),
);

const NOMINAL: PumpCorner = { volts: 13.8, logicVolts: 5, capacitors: 1, gain: 250, celsius: 27 };
/** Hot, high supply, large capacitors, strong Q1: where way 2 lets go last. */
export const SLOWEST: Partial<PumpCorner> = { logicVolts: 5.25, capacitors: 1.1, gain: 600, celsius: 85 };

/** Time of the last edge: an even number of them ends low. */
const lastEdgeS = (profile: Profile): number =>
  SETTLE_S + (profile.endsWith("low") ? EDGES : EDGES - 1) * EDGE_S;

/** The pin as points in time; both outputs of the inverters follow from it. */
function levels(profile: Profile): (readonly [number, 0 | 1])[] {
  if (profile === "low" || profile === "high") return [[0, profile === "low" ? 0 : 1]];
  const last = lastEdgeS(profile);
  const points: (readonly [number, 0 | 1])[] = [[0, 0]];
  for (let s = SETTLE_S + EDGE_S, level: 0 | 1 = 1; s <= last + EDGE_S / 2; s += EDGE_S) {
    points.push([s, level]);
    level = level === 1 ? 0 : 1;
  }
  return points;
}

/** A piecewise-linear source of an output that is high while the pin is at `when`. */
function output(name: string, net: string, profile: Profile, when: 0 | 1, volts: number): string[] {
  const points = levels(profile).flatMap(([s, level], i) => {
    const to = level === when ? volts : 0;
    return i === 0 ? [`0 ${to}`] : [`${s} ${volts - to}`, `${s + 1e-6} ${to}`];
  });
  return [`V${name} drive_${name} 0 PWL(${points.join(" ")})`, `R${name} drive_${name} {${net}} 50`];
}

function cutout(profile: Profile, { volts, logicVolts, celsius }: PumpCorner): Cutout {
  return {
    celsius,
    refs: [...PUMP_REFS, "K1"],
    joined: [
      ["pump.coil", "k1.coil"],
      ["k1.ground", "star"],
      ["gnd", "star"],
    ],
    sources: [
      `Varm {arm} 0 PWL(0 0 100u ${volts})`,
      // The first inverter is high while the pin is low, the second while it is high.
      ...output("first", "pump.first", profile, 0, logicVolts),
      ...output("second", "pump.second", profile, 1, logicVolts),
    ],
    save: ["i(lk1)", "v({pump.out})", "v({pump.coil})"],
    stepS: STEP_S,
    stopS: lastEdgeS(profile) + AFTER_S,
  };
}

function measured(trace: Trace, profile: Profile, dropOutA: number): PumpTimes {
  const amps = trace.vector("i(lk1)");
  const edges = profile.startsWith("edges");
  const last = edges ? lastEdgeS(profile) : 0;
  const within = (from: number, to: number): number[] =>
    amps.filter((_, i) => trace.time[i]! >= from && trace.time[i]! < to);
  const held = within(last - 10 * EDGE_S, last);
  const lastOn = trace.time.findLast((_, i) => amps[i]! > dropOutA) ?? 0;
  const released = lastOn < trace.time.at(-1)! - EDGE_S;
  return {
    mostA: within(0, Number.POSITIVE_INFINITY).reduce((most, a) => Math.max(most, a), 0),
    ...(edges ? { heldA: held.reduce((least, a) => Math.min(least, a), Number.POSITIVE_INFINITY) } : {}),
    ...(released ? { releaseS: Math.max(0, lastOn - last) } : {}),
  };
}

/** The deck of way 2 in a profile, with a fault in it, at a corner. */
export function pumpDeck(
  circuit: Circuit,
  profile: Profile,
  values: Values,
  fault?: CircuitFault,
  corner: Partial<PumpCorner> = {},
): Deck {
  const at = { ...NOMINAL, ...corner };
  const own: Values = (key) => {
    if (key === "pump.gain") return at.gain;
    const factor = key === "pump.coupling" || key === "pump.reservoir" ? at.capacitors : 1;
    return factor * values(key);
  };
  return deckOf(circuit, cutout(profile, at), own, fault);
}

/** Solves it. */
export async function pumpTimes(
  circuit: Circuit,
  profile: Profile,
  values: Values,
  fault?: CircuitFault,
  corner: Partial<PumpCorner> = {},
): Promise<PumpTimes> {
  const trace = await solved(pumpDeck(circuit, profile, values, fault, corner));
  return measured(trace, profile, values("relay.drop-out"));
}
