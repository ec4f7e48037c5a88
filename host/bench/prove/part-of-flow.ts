// Settings in which every stage pulses: what cannot show while a solenoid stays open is tried with them.
import type { Document } from "#shared-schema/settings/pack.ts";

interface Solenoid {
  readonly opening14VUs: number;
  readonly closingUs: number;
}

interface Stage {
  readonly nitrousSolenoid: Solenoid;
  readonly fuelSolenoid?: Solenoid;
  ramps: { readonly over: string; points: [number, number][] }[];
  follows?: object;
}

/** The share, permille, in the middle between a stage's smallest and largest pulse. */
function middlePermille({ nitrousSolenoid, fuelSolenoid }: Stage, frequencyHz: number): number {
  const solenoids = [nitrousSolenoid, ...(fuelSolenoid ? [fuelSolenoid] : [])];
  const perUs = frequencyHz / 1000;
  const least = Math.max(...solenoids.map(({ closingUs }) => closingUs)) * perUs;
  const most = 1000 - Math.max(...solenoids.map(({ opening14VUs }) => opening14VUs)) * perUs;
  return Math.round((least + most) / 2);
}

/** The document with the ramps of all stages held at that share; no stage waits for another. */
export function atPartOfFlow(document: Document): Document {
  const copy = structuredClone(document);
  const { frequencyHz } = copy.flow as { frequencyHz: number };
  for (const stage of copy.stages as Stage[]) {
    const share = middlePermille(stage, frequencyHz);
    for (const ramp of stage.ramps) ramp.points = ramp.points.map(([x]) => [x, share]);
    delete stage.follows;
  }
  return copy;
}
