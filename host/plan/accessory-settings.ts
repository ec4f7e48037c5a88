/** What the controller switches beside the stages, as settings: purge, bottle heater, remote bottle valve, where the car file has them. */
import type { Document } from "#shared-schema/settings/pack.ts";
import type { PlanInput } from "./input/plan-input.ts";
import type { BottlePlan } from "./nitrous/bottle-plan.ts";
import type { SystemPlan } from "./system-plan.ts";

/** A press may last half as long again as it needs, and two fit into a minute (judgement). */
const PRESS_MARGIN = 1.5;
const PRESSES = 2;
/** Limits of the settings for one press and for a minute, ms. */
const PRESS_MS = [200, 10_000] as const;
/** The longest press that the controller takes, s. */
export const LONGEST_PRESS_S = PRESS_MS[1] / 1e3;
const MINUTE_MS = 20_000;
/** The heater may stay on for half as long again as a cold, full bottle needs, between ten minutes and an hour (judgement). */
const HEAT_MARGIN = 1.5;
const HEAT_S = [600, 3600] as const;
/** Pressure must come within this time, ms (common practice, no source; the valve's maker rules). */
const OPENS_WITHIN_MS = 2000;

const between = (value: number, [least, most]: readonly [number, number]): number =>
  Math.min(most, Math.max(least, value));

function purgeOf({ accessories }: SystemPlan): Document {
  const longestMs = between(Math.ceil(accessories.purge.pressS * PRESS_MARGIN * 10) * 100, PRESS_MS);
  return { longestMs, eachMinuteMs: Math.min(MINUTE_MS, PRESSES * longestMs) };
}

/** Longest time that the controller heats at a stretch, s. */
export const heaterLongestS = ({ warmUpS }: BottlePlan): number =>
  between(Math.ceil(warmUpS * HEAT_MARGIN), HEAT_S);

function heaterOf({ accessories, bottle }: SystemPlan, airPa: number): Document {
  const gaugeKpa = (pascal: number): number => Math.floor((pascal - airPa) / 1e3);
  return {
    onBelowKpaGauge: gaugeKpa(accessories.heater.onPa),
    offAtKpaGauge: gaugeKpa(accessories.heater.offPa),
    longestS: heaterLongestS(bottle),
  };
}

/** Parts of the settings document for what the controller switches. */
export function accessorySettings({ air }: PlanInput, plan: SystemPlan): Document {
  const has = (name: string): boolean => plan.accessories.onController.some((one) => one === name);
  return {
    ...(has("purge") && { purge: purgeOf(plan) }),
    ...(has("heater") && { heater: heaterOf(plan, air.pressurePa) }),
    ...(has("bottleValve") && { bottleValve: { opensWithinMs: OPENS_WITHIN_MS } }),
  };
}
