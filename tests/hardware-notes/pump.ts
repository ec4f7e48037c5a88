// The charge pump as a circuit in time: two coupling capacitors driven in opposite phase, Schottky diodes, reservoir, transistor.
import { value } from "./values.ts";

/** Parts and conditions of one corner; SI units. */
export interface Pump {
  readonly supply: number;
  /** Each resistor in front of a coupling capacitor, the gate's own output resistance included. */
  readonly series: number;
  readonly coupling: number;
  readonly reservoir: number;
  /** R3 and R9 together. */
  readonly bleed: number;
  readonly base: number;
  readonly diode: number;
  readonly threshold: number;
  readonly gain: number;
  /** A part of phase 0 (R1, C1, D1, D2) or 1 (R2, C2, D3, D4) that has failed. */
  readonly failed?: PhaseFault;
}

/** `coupling` short; `bottom`: D1 or D3, from ground; `top`: D2 or D4, to the reservoir. */
export interface PhaseFault {
  readonly phase: 0 | 1;
  readonly part: "coupling" | "bottom" | "top";
  readonly how: "open" | "short";
}

/** Output resistance of a 74HCT14's gate, ohm. */
const GATE_OHM = 50;

/** The pump with the values of the notes, at room temperature. */
export const NOMINAL: Pump = {
  supply: value("pump.supply"),
  series: value("pump.series") + GATE_OHM,
  coupling: value("pump.coupling"),
  reservoir: value("pump.reservoir"),
  bleed: value("pump.bleed") / 2,
  base: value("pump.base"),
  diode: value("pump.diode"),
  threshold: value("pump.threshold"),
  gain: value("pump.gain"),
};

/** Charge on the three capacitors, as voltages. */
export interface PumpState {
  readonly sources: [number, number];
  readonly coupled: [number, number];
  reservoir: number;
}

const STEP_S = 2e-6;

/** A pump at rest: one phase high, one low, reservoir empty. */
export function atRest(pump: Pump): PumpState {
  return { sources: [0, pump.supply], coupled: [0, pump.supply - pump.diode], reservoir: 0 };
}

function hasFailed(
  { failed }: Pump,
  phase: 0 | 1,
  part: PhaseFault["part"],
  how: PhaseFault["how"],
): boolean {
  return failed?.phase === phase && failed.part === part && failed.how === how;
}

/** Current out of a phase towards its two diodes, given the voltage that drives it; `into` the reservoir, or from ground. */
function currents(pump: Pump, phase: 0 | 1, drive: number, reservoir: number): [all: number, into: number] {
  const failed = (part: PhaseFault["part"], how: PhaseFault["how"]): boolean =>
    hasFailed(pump, phase, part, how);
  if (failed("bottom", "short")) return [drive / pump.series, 0];
  const back = failed("bottom", "open") ? 0 : Math.min((drive + pump.diode) / pump.series, 0);
  if (failed("top", "open")) return [back, 0];
  const into = (drive - reservoir - (failed("top", "short") ? 0 : pump.diode)) / pump.series;
  if (into > 0 || failed("top", "short")) return [into, into];
  return [back, 0];
}

/** Current that flows into the reservoir through one phase; moves the charge on its coupling capacitor. */
function phaseCurrent(pump: Pump, state: PumpState, phase: 0 | 1): number {
  const short = hasFailed(pump, phase, "coupling", "short");
  const open = hasFailed(pump, phase, "coupling", "open");
  const drive = state.sources[phase] - (short ? 0 : state.coupled[phase]);
  const [all, into] = open ? [0, 0] : currents(pump, phase, drive, state.reservoir);
  state.coupled[phase] += (all * STEP_S) / pump.coupling;
  return into;
}

/** Collector current that the first transistor can carry now. */
export function collector(pump: Pump, state: PumpState): number {
  return (pump.gain * Math.max(0, state.reservoir - pump.threshold)) / pump.base;
}

/** Lets time pass without an edge; `each` sees the state after every step and stops it by returning true. Returns the time passed. */
export function pass(pump: Pump, state: PumpState, seconds: number, each?: () => boolean): number {
  const steps = Math.round(seconds / STEP_S);
  for (let i = 1; i <= steps; i++) {
    const charge = phaseCurrent(pump, state, 0) + phaseCurrent(pump, state, 1);
    const base = Math.max(0, state.reservoir - pump.threshold) / pump.base;
    state.reservoir += ((charge - state.reservoir / pump.bleed - base) * STEP_S) / pump.reservoir;
    if (each?.()) return i * STEP_S;
  }
  return seconds;
}

/** A pump whose pin has stood at a level for a second: pin low is how it rests, pin high is the other way about. */
export function atLevel(pump: Pump, level: "low" | "high"): PumpState {
  const state = atRest(pump);
  // The first gate inverts, so phase 0 is high while the pin is low.
  state.sources[0] = level === "low" ? pump.supply : 0;
  state.sources[1] = level === "low" ? 0 : pump.supply;
  pass(pump, state, 1);
  return state;
}

/** An edge of the square wave: both phases swap. */
export function edge(pump: Pump, state: PumpState): void {
  state.sources[0] = pump.supply - state.sources[0];
  state.sources[1] = pump.supply - state.sources[1];
}

/** Lowest collector current between edges `spacing` apart, once the pump has run for `edges` of them. */
export function lowestHold(pump: Pump, spacing: number, edges = 16): number {
  const state = atRest(pump);
  let lowest = Infinity;
  for (let i = 0; i < edges; i++) {
    edge(pump, state);
    lowest = Infinity;
    pass(pump, state, spacing, () => {
      lowest = Math.min(lowest, collector(pump, state));
      return false;
    });
  }
  return lowest;
}

/** Longest time after the last of `edges` edges at which the collector can still carry `current`. */
export function letsGo(pump: Pump, spacing: number, current: number, edges = 20): number {
  const state = atRest(pump);
  for (let i = 1; i < edges; i++) {
    edge(pump, state);
    pass(pump, state, spacing);
  }
  edge(pump, state);
  let last = 0;
  let now = 0;
  pass(pump, state, 0.1, () => {
    now += STEP_S;
    if (collector(pump, state) >= current) last = now;
    return false;
  });
  return last;
}

/** The relay's coil behind the second transistor; SI units. */
export interface Coil {
  readonly supply: number;
  readonly resistance: number;
  readonly inductance: number;
  readonly clamp: number;
  /** Collector current from which the second transistor counts as on. */
  readonly on: number;
}

/** Lowest and highest current of the relay's coil over the last two of `edges` edges, `spacing` apart. */
export function coilCurrent(pump: Pump, coil: Coil, spacing: number, edges = 60): [number, number] {
  const state = atRest(pump);
  let current = 0;
  let range: [number, number] = [Infinity, 0];
  for (let i = 0; i < edges; i++) {
    edge(pump, state);
    if (i === edges - 2) range = [Infinity, 0];
    pass(pump, state, spacing, () => {
      const across = collector(pump, state) >= coil.on ? coil.supply : -coil.clamp;
      current = Math.max(0, current + ((across - current * coil.resistance) * STEP_S) / coil.inductance);
      range = [Math.min(range[0], current), Math.max(range[1], current)];
      return false;
    });
  }
  return range;
}
