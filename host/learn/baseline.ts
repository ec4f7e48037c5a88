// Settings for the run with the bottle shut: those in use with every share at nothing, so that neither valve moves.
import type { Document } from "#shared-schema/settings/pack.ts";

interface Ramp {
  readonly points: readonly (readonly [number, number])[];
}

interface Stage {
  readonly ramps: readonly Ramp[];
}

const shutRamp = (ramp: Ramp): Ramp => ({ ...ramp, points: ramp.points.map(([at]) => [at, 0] as const) });

/** The same settings with every ramp at 0 %. */
export function shutSettings(settings: Document): Document {
  const stages = settings.stages as unknown as readonly Stage[];
  return {
    ...settings,
    stages: stages.map((stage) => ({ ...stage, ramps: stage.ramps.map(shutRamp) })),
  } as unknown as Document;
}
