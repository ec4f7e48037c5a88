// The settings that a proof looks at, typed; a document that passed its check has these fields, raw as stored.
import type { AXES } from "#shared-schema/settings/choices.ts";
import type { Document } from "#shared-schema/settings/pack.ts";

/** A window with hysteresis; names of the fields end with the unit of what is watched. */
export type Window = Readonly<Record<string, number>>;

/** Windows that a system or a stage may have. */
export interface Windows {
  readonly engineSpeed?: {
    readonly openRpm: number;
    readonly closeRpm: number;
    readonly hysteresisRpm: number;
  };
  readonly roadSpeed?: Window;
  readonly manifold?: Window;
  readonly gears?: { readonly lowest: string; readonly highest: string };
}

export interface Ramp {
  readonly over: (typeof AXES)[number];
  readonly points: readonly (readonly [number, number])[];
}

export interface StageSettings extends Windows {
  readonly kind: string;
  readonly longestMs: number;
  readonly fuelSolenoid?: object;
  readonly enrichment?: { readonly withinMs: number };
  readonly ramps: readonly Ramp[];
}

/** Two points of an analog sensor, and the limits that hang on it. */
export type Sensor = Readonly<Record<string, number>>;

/** The part of a settings document that proofs use. */
export interface ProofSettings {
  readonly engine: {
    readonly pulsesHalfPulses: number;
    readonly jump?: { readonly fastestRpmPerS: number; readonly unevennessPermille: number };
  };
  readonly road?: { readonly pulsesPerKm: number };
  readonly gearbox?: { readonly gears: readonly { readonly ratioDeciRpmPerKmh: number }[] };
  readonly launch?: { readonly startsAt: string };
  readonly throttle: { readonly switch: string; readonly position?: Sensor };
  readonly manifold?: Sensor & { readonly overboost?: { readonly aboveDeciKpa: number } };
  readonly bottle?: Sensor;
  readonly fuel?: Sensor;
  readonly lambda?: Sensor;
  readonly coolant?: Sensor;
  readonly battery: { readonly lowestMv: number };
  readonly windows: Windows;
  readonly flow: {
    readonly frequencyHz: number;
    readonly riseLimitPercentPerS: number;
    readonly longestRunMs: number;
  };
  readonly driveline?: {
    readonly fastestDeciKmhPerS: number;
    readonly cutToPermille: number;
    readonly holdMs: number;
  };
  readonly bottleValve?: { readonly opensWithinMs: number };
  readonly stages: readonly StageSettings[];
}

/** A checked document as what proofs use of it. */
export function proofSettings(document: Document): ProofSettings {
  return document as unknown as ProofSettings;
}
