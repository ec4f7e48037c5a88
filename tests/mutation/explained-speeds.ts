// Explained survivors in what is measured and judged: speed.ts, measure.ts, windows.ts, trips.ts, modes.ts.
import type { Explained } from "./explained-why.ts";

/** By file and function. */
export const OF_SPEEDS: readonly Explained[] = [];
