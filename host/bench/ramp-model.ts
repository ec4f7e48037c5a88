// The share that a settings document asks for at a moment: ramps read in floating point, apart from the core's integers.
import { unhandled } from "#shared-schema/model/unhandled.ts";
import type { AXES } from "#shared-schema/settings/choices.ts";
import type { Document } from "#shared-schema/settings/pack.ts";

/** What a ramp can run over, at one moment. Times in s since the stage opened and since launch; undefined before it. */
export interface Moment {
  readonly timeS: number;
  readonly launchS: number | undefined;
  readonly rpm: number;
  readonly kmh: number;
  readonly kpa: number;
}

export type Axis = (typeof AXES)[number];

export interface Ramp {
  readonly over: Axis;
  readonly points: readonly (readonly [number, number])[];
}

export interface StageSettings {
  readonly kind: string;
  readonly nitrousSolenoid: Record<string, number>;
  readonly fuelSolenoid?: Record<string, number>;
  readonly ramps: readonly Ramp[];
}

/** The stages of a document that the check has passed. */
export function stagesOf(settings: Document): readonly StageSettings[] {
  return settings.stages as readonly StageSettings[];
}

/** Axis value at a moment, in the unit of the settings; undefined before the axis begins. Throws on an axis that it does not know. */
function axisValue(over: Axis, now: Moment): number | undefined {
  if (over === "time") return now.timeS * 1000;
  if (over === "launch") return now.launchS === undefined ? undefined : now.launchS * 1000;
  if (over === "engine-speed") return now.rpm;
  if (over === "road-speed") return now.kmh * 10;
  if (over === "manifold") return now.kpa * 10;
  return unhandled(over);
}

/** Share of one ramp, 0 to 1: straight between points, ends held, nothing before the axis begins. */
export function rampShare(ramp: Ramp, now: Moment): number {
  const x = axisValue(ramp.over, now);
  if (x === undefined) return 0;
  const after = ramp.points.findIndex(([at]) => at > x);
  if (after === 0) return ramp.points[0]![1] / 1000;
  if (after < 0) return ramp.points.at(-1)![1] / 1000;
  const [x0, y0] = ramp.points[after - 1]!;
  const [x1, y1] = ramp.points[after]!;
  return (y0 + ((y1 - y0) * (x - x0)) / (x1 - x0)) / 1000;
}

/** The lower of a stage's ramps, 0 to 1. */
export function tableShare(stage: StageSettings, now: Moment): number {
  return Math.min(...stage.ramps.map((ramp) => rampShare(ramp, now)));
}

/** Can no stage ever flow, because a ramp of each is 0 everywhere? So are the settings of a run with the bottle shut. */
export function asksNothing(settings: Document): boolean {
  const nothing = ({ points }: Ramp): boolean => points.every(([, share]) => share === 0);
  return stagesOf(settings).every(({ ramps }) => ramps.some(nothing));
}

/** Opening time in ms at a battery voltage: straight between 10, 12 and 14 V, ends held. */
export function openingMs(solenoid: Record<string, number>, volts: number): number {
  const at = (name: string): number => (solenoid[name] ?? 0) / 1000;
  if (volts <= 10) return at("opening10VUs");
  if (volts >= 14) return at("opening14VUs");
  const [low, high, from] =
    volts < 12
      ? (["opening10VUs", "opening12VUs", 10] as const)
      : (["opening12VUs", "opening14VUs", 12] as const);
  return at(low) + ((at(high) - at(low)) * (volts - from)) / 2;
}
