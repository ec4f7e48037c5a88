// Parts as branches with states: resistors, diodes, transistors, relays, supplies, chips; the state follows from the voltages.
import type { Network } from "./solver.ts";

export type Volts = Float64Array;

/** A device with a state. `settle` gives true when the voltages ask for another state than it has, and takes it on. */
export interface Device {
  /** Judged only when everything quick has come to rest: a relay, which keeps its contact as it was until then. */
  readonly slow?: boolean;
  stamp(into: Network): void;
  settle(volts: Volts): boolean;
}

const OPEN_S = 1e-9;
const CLOSED_S = 100;

/** A fixed resistance between two nodes. */
export function resistance(a: number, b: number, ohm: number): Device {
  return { stamp: (net) => net.branch(a, b, 1 / ohm), settle: () => false };
}

/** Something that is either closed or open; the voltages decide. `now` is where it begins. */
export function contact(
  a: number,
  b: number,
  ohm: number,
  now: boolean,
  wanted: (v: Volts, now: boolean) => boolean,
  slow = false,
): Device {
  let closed = now;
  return {
    slow,
    stamp: (net) => net.branch(a, b, closed ? 1 / ohm : OPEN_S),
    settle: (v) => {
      const next = wanted(v, closed);
      const other = next !== closed;
      closed = next;
      return other;
    },
  };
}

/** A diode from anode to cathode: conducts above `forward`, and backwards above `breakdown` when that is given. */
export function junction(
  anode: number,
  cathode: number,
  forward: number,
  breakdown = Number.POSITIVE_INFINITY,
): Device {
  let state: -1 | 0 | 1 = 0;
  return {
    stamp: (net) => {
      if (state === 0) net.branch(anode, cathode, OPEN_S);
      else net.branch(anode, cathode, CLOSED_S, state > 0 ? forward : -breakdown);
    },
    settle: (v) => {
      const across = v[anode]! - v[cathode]!;
      const next = across > forward ? 1 : across < -breakdown ? -1 : 0;
      const other = next !== state;
      state = next;
      return other;
    },
  };
}

/** A supply that only sources: `volts` above `minus`, as long as `works`. */
export function supply(
  plus: number,
  minus: number,
  volts: number,
  ohm: number,
  works: (v: Volts) => boolean,
): Device {
  let on = false;
  return {
    stamp: (net) => net.branch(plus, minus, on ? 1 / ohm : OPEN_S, on ? volts : 0),
    settle: (v) => {
      const next = works(v) && v[plus]! - v[minus]! <= volts;
      const other = next !== on;
      on = next;
      return other;
    },
  };
}

/** An output: low, high or not driven, as `level` says; `high` is the node that it connects to when high. */
export function output(
  out: number,
  low: number,
  high: number,
  ohm: number,
  level: (v: Volts) => 0 | 1 | undefined,
): Device {
  let state: 0 | 1 | undefined;
  return {
    stamp: (net) => net.branch(out, state === 1 ? high : low, state === undefined ? OPEN_S : 1 / ohm),
    settle: (v) => {
      const next = level(v);
      const other = next !== state;
      state = next;
      return other;
    },
  };
}
