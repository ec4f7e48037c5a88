// What the solenoid pins did, read from their edges: pulses, shares, when flow began and how fast it stopped.
import { GAP_US, TRY_US } from "#shared-schema/model/blocks.ts";
import type { Edge } from "./board/pins.ts";

/** One pulse at a pin. `periodNs` is the time to the next pulse, if one began within two periods. */
export interface Pulse {
  readonly startNs: number;
  readonly widthNs: number;
}

/** A low that is shorter is no end of a pulse: a look at the driver, in which no valve moves (see firmware/core/gaps.ts). */
const GAP_NS = (GAP_US + 100) * 1000;

/** A pulse that is no longer opens no valve: the test of a driver at arming (see firmware/core/arming.ts). */
export const TRY_NS = TRY_US * 1000;

/** Pulses up to `toNs`; lows shorter than `gapNs`, and tests of drivers, are left out; one still high at the end ends there. */
export function pulsesOf(edges: readonly Edge[], toNs: number, gapNs = GAP_NS): Pulse[] {
  const pulses: Pulse[] = [];
  let startNs: number | undefined;
  for (const edge of [...edges, { ns: toNs, level: 0 as const }]) {
    const before = pulses.at(-1);
    if (edge.level === 1 && before && edge.ns - before.startNs - before.widthNs < gapNs) {
      startNs = before.startNs;
      pulses.pop();
    } else if (edge.level === 1) startNs = edge.ns;
    else if (startNs !== undefined) {
      if (edge.ns - startNs > TRY_NS) pulses.push({ startNs, widthNs: edge.ns - startNs });
      startNs = undefined;
    }
  }
  return pulses;
}

/**
 * Those of `pulsesOf` that end after `ns`, and perhaps some before, without a look at all edges: from the last edge on before
 * which the pin had been low at `ns` and for no gap.
 */
export function latePulses(edges: readonly Edge[], ns: number, toNs: number): Pulse[] {
  let first = edges.length;
  while (first > 0 && !beginsAnew(edges, first, ns)) first--;
  return pulsesOf(edges.slice(first), toNs);
}

function beginsAnew(edges: readonly Edge[], place: number, ns: number): boolean {
  const [before, edge] = [edges[place - 1]!, edges[place]];
  return before.level === 0 && before.ns <= ns && (edge === undefined || edge.ns - before.ns >= GAP_NS);
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
