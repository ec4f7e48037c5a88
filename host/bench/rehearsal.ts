// What was seen of one run: the car, moment by moment, and every edge at the controller's outputs.
import type { Edge } from "./board/pins.ts";
import type { Movement } from "./loop/script.ts";

/** What the controller could see at one moment, and the driver's pedal; `kmh` as the road speed sender has it. */
export interface Seen {
  readonly s: number;
  readonly pedal: number;
  readonly armed: boolean;
  readonly rpm: number;
  readonly kmh: number;
  readonly kpa: number;
  readonly volts: number;
}

/** What pins and relay did in a run; edge times are in ns since the run began. */
export interface Outputs {
  /** Edges of each stage's pins. */
  readonly nitrous: readonly (readonly Edge[])[];
  readonly fuel: readonly (readonly Edge[])[];
  readonly relay: readonly Edge[];
}

/** Both, over the time of a script. */
export interface Rehearsal extends Outputs {
  readonly samples: readonly Seen[];
  readonly endS: number;
  readonly script: readonly Movement[];
}
