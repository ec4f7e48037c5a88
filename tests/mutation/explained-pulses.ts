// Explained survivors in pulses and flow: patterns.ts, solenoids.ts, flow.ts, lead.ts, ramps.ts, retard.ts.
import type { Explained } from "./explained-why.ts";

/** By file and function. */
export const OF_PULSES: readonly Explained[] = [];
