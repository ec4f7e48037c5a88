// Settings in which every stage pulses, or stays wide open: what shows only in one of them is tried with it.
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

/** The document with the ramps of all stages held at a share, permille; no stage waits for another. */
function heldAt(document: Document, sharePermille: (stage: Stage, frequencyHz: number) => number): Document {
  const copy = structuredClone(document);
  const { frequencyHz } = copy.flow as { frequencyHz: number };
  for (const stage of copy.stages as Stage[]) {
    const share = sharePermille(stage, frequencyHz);
    for (const ramp of stage.ramps) ramp.points = ramp.points.map(([x]) => [x, share]);
    delete stage.follows;
  }
  return copy;
}

/** The document with every stage in the middle of what pulses can make. */
export const atPartOfFlow = (document: Document): Document => heldAt(document, middlePermille);

/** The document with every stage wide open. */
export const atFullFlow = (document: Document): Document => heldAt(document, () => 1000);
