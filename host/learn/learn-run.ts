// A run as learning needs it: its records with the settings that they were recorded with, and how to call it.
import type { LogSample } from "#host/logbook/sample.ts";
import { MODES } from "#shared-schema/model/interlocks.ts";
import type { Document } from "#shared-schema/settings/pack.ts";

/** One recorded run. */
export interface LearnRun {
  /** Name of its file. */
  readonly name: string;
  /** Tells it from every other run, whatever its file is called. */
  readonly key: string;
  readonly samples: readonly LogSample[];
  readonly settings: Document;
}

const FLOWING = MODES.indexOf("flowing");

interface Stage {
  readonly portionPermille?: number;
}

/** Portions of the stages, together 1; without portions all alike. */
export function portionsOf(settings: Document): number[] {
  const stages = settings.stages as unknown as readonly Stage[];
  const portions = stages.map((stage) => stage.portionPermille ?? 1000 / stages.length);
  const all = portions.reduce((sum, portion) => sum + portion, 0);
  return portions.map((portion) => portion / all);
}

/** What is in the car, whatever a new plan would choose: parts of the flow of the stages, together 1, and the axis of the ramps. */
export interface Installed {
  readonly parts: readonly number[];
  /** Undefined where no plan makes such ramps. */
  readonly axis?: string | undefined;
}

/** Axes that a plan makes ramps over. */
const PLANNED_AXES: readonly string[] = ["road-speed", "launch", "engine-speed"];

/** The same, as settings have it. */
export function installedBy(settings: Document): Installed {
  const stages = settings.stages as unknown as readonly { readonly ramps: readonly { over: string }[] }[];
  const over = stages[0]?.ramps[0]?.over;
  return { parts: portionsOf(settings), axis: PLANNED_AXES.find((axis) => axis === over) };
}

/** Share of the full flow of all stages, 0 to 1, that the controller asks for in each record. */
export function flowShares({ samples, settings }: LearnRun): number[] {
  const portions = portionsOf(settings);
  return samples.map((sample) => {
    if (sample.mode !== FLOWING) return 0;
    return portions.reduce((sum, part, i) => sum + (part * (sample[`share${i + 1}`] ?? 0)) / 100, 0);
  });
}

/** Nothing flowed in it at any time: no valve was moved. */
export const isShut = (run: LearnRun): boolean => flowShares(run).every((share) => share === 0);

/** What the sender of the road speed counts; undefined without one. */
export const senderOf = ({ settings }: LearnRun): string | undefined =>
  (settings.road as { sender?: string } | undefined)?.sender;

/** Has the run a bottle pressure? */
export const hasBottle = ({ settings }: LearnRun): boolean => settings.bottle !== undefined;
