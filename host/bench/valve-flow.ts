// When a solenoid valve was open, by the edges of its pin and its own times: it needs current for its opening time, none for its closing time.
import type { Pulse } from "./pulses.ts";

/** A stretch in which a valve was open, ns. */
export interface Open {
  readonly fromNs: number;
  readonly toNs: number;
}

/** Every stretch in which the pulses of a pin kept its valve open. A pause shorter than the closing time ends none. `openingAt`: opening time, ns, of a pulse that begins then. */
export function openStretches(
  pulses: readonly Pulse[],
  openingAt: (ns: number) => number,
  closingNs: number,
): Open[] {
  const stretches: { fromNs: number; toNs: number }[] = [];
  for (const { startNs, widthNs } of pulses) {
    const last = stretches.at(-1);
    const endNs = startNs + widthNs + closingNs;
    if (last && startNs < last.toNs) last.toNs = Math.max(last.toNs, endNs);
    else {
      const fromNs = startNs + openingAt(startNs);
      if (startNs + widthNs >= fromNs) stretches.push({ fromNs, toNs: endNs });
    }
  }
  return stretches;
}

/** Share of a stretch of time in which the valve was open. */
export function openShare(stretches: readonly Open[], fromNs: number, toNs: number): number {
  const open = stretches.reduce(
    (sum, s) => sum + Math.max(0, Math.min(s.toNs, toNs) - Math.max(s.fromNs, fromNs)),
    0,
  );
  return open / (toNs - fromNs);
}
