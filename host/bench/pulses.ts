// What the solenoid pins did, read from their edges: pulses, shares, when flow began and how fast it stopped.
import type { Edge } from "./board/pins.ts";

/** One pulse at a pin. `periodNs` is the time to the next pulse, if one began within two periods. */
export interface Pulse {
  readonly startNs: number;
  readonly widthNs: number;
}

/** Pulses between `fromNs` and `toNs`; one that is still high at the end ends there. */
export function pulsesOf(edges: readonly Edge[], toNs: number): Pulse[] {
  const pulses: Pulse[] = [];
  let startNs: number | undefined;
  for (const edge of [...edges, { ns: toNs, level: 0 as const }]) {
    if (edge.level === 1) startNs = edge.ns;
    else if (startNs !== undefined) {
      pulses.push({ startNs, widthNs: edge.ns - startNs });
      startNs = undefined;
    }
  }
  return pulses;
}

/** A stretch of time in which a stage's pin pulsed without a gap longer than `gapNs`. */
export interface Burst {
  readonly startNs: number;
  readonly endNs: number;
  readonly pulses: readonly Pulse[];
}

/** Groups pulses into bursts. */
export function burstsOf(pulses: readonly Pulse[], gapNs: number): Burst[] {
  const bursts: { startNs: number; endNs: number; pulses: Pulse[] }[] = [];
  for (const pulse of pulses) {
    const last = bursts.at(-1);
    const endNs = pulse.startNs + pulse.widthNs;
    if (last && pulse.startNs - last.endNs <= gapNs) {
      last.pulses.push(pulse);
      last.endNs = endNs;
    } else bursts.push({ startNs: pulse.startNs, endNs, pulses: [pulse] });
  }
  return bursts;
}

/** Time of the last falling edge within `withinNs` after `causeNs` over several pins; undefined when a pin is still high then. */
export function allLowAfter(
  pins: readonly (readonly Edge[])[],
  causeNs: number,
  withinNs: number,
): number | undefined {
  let latest = causeNs;
  for (const edges of pins) {
    const before = edges.filter((e) => e.ns <= causeNs + withinNs);
    const last = before.at(-1);
    if (last?.level === 1) return undefined;
    if (last && last.ns > latest) latest = last.ns;
  }
  return latest - causeNs;
}
