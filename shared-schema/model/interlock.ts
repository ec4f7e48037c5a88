// One row of the catalogue of interlocks, and how it is written down.
import type { ADC_A } from "./pins.ts";

/** hold-off: no flow while it lasts. trip: all off until the arm switch is cycled. lockout: all off until power-off. */
export type Reaction = "off" | "hold-off" | "trip" | "lockout" | "cut-back" | "cannot-arm" | "refused";

/** One row. Its place in the list is its number on the link and its bit in the reasons. */
export interface Interlock {
  readonly id: string;
  readonly cause: string;
  readonly reaction: Reaction;
  /** Longest time from the cause at a pin to all solenoid pins low, microseconds; undefined where nothing can be flowing. */
  readonly withinUs?: number;
  /** What is added to `withinUs`. */
  readonly plus?:
    | "engine-pulse"
    | "three-engine-pulses"
    | "lost-engine"
    | "four-pulses"
    | "road-pulse"
    | "cut-back"
    | "setting";
  /** Settings (document paths) that switch it on; empty: always on. */
  readonly enabledBy: readonly string[];
  readonly remedy: string;
  /** What to do at once, in two words, beside its id. */
  readonly hint?: string;
  /** A hold-off that lasts or comes again and again turns into this. */
  readonly lasting?: "trip";
  /** Cause and remedy while nothing has flowed, where the row then means something else. */
  readonly beforeFlow?: { readonly cause: string; readonly remedy: string };
  /** Analog input that it judges: while that reading is not believed, what it says is not to be acted on. */
  readonly reads?: (typeof ADC_A)[number];
}

type Extra = Partial<
  Pick<Interlock, "withinUs" | "plus" | "enabledBy" | "lasting" | "hint" | "beforeFlow" | "reads">
>;

/** Writes a row down. */
export function row(
  id: string,
  cause: string,
  reaction: Reaction,
  remedy: string,
  extra: Extra = {},
): Interlock {
  return { id, cause, reaction, enabledBy: [], remedy, ...extra };
}
