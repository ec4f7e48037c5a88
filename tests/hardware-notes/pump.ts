// The charge pump as a circuit in time: two coupling capacitors driven in opposite phase, Schottky diodes, reservoir, transistor.

/** Parts and conditions of one corner; SI units. */
export interface Pump {
  readonly supply: number;
  /** Each resistor in front of a coupling capacitor, the gate's own output resistance included. */
  readonly series: number;
  readonly coupling: number;
  readonly reservoir: number;
  readonly bleed: number;
  readonly base: number;
  readonly diode: number;
  readonly threshold: number;
  readonly gain: number;
}

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

/** Current that flows into the reservoir through one phase; moves the charge on its coupling capacitor. */
function phaseCurrent(pump: Pump, state: PumpState, phase: 0 | 1): number {
  const drive = state.sources[phase] - state.coupled[phase];
  const into = (drive - state.reservoir - pump.diode) / pump.series;
  const back = (drive + pump.diode) / pump.series;
  const current = into > 0 ? into : Math.min(back, 0);
  state.coupled[phase] += (current * STEP_S) / pump.coupling;
  return Math.max(into, 0);
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
