/** Fills in what the nitrous may do beside the plan: the bottle's window, its sensor, and how far the flow may be off. */
import { PSI_PA } from "#host/units/constants.ts";
import { toUnit } from "#host/units/format.ts";
import { absolutePa, gaugePa } from "#host/units/pressure.ts";
import type { Air } from "../engine/atmosphere.ts";
import { type BottleWindow, flowOverWindow } from "../nitrous/bottle-window.ts";
import type { Defaults } from "./defaults.ts";
import type { FlowEdges, PlanInput } from "./plan-input.ts";
import type { CarFile } from "./schema.ts";

/** Lowest pressure of the window as a share of the working one (gauge), and how far its highest lies above it. */
const LOWEST_SHARE = 0.75;
const ABOVE_PA = 75 * PSI_PA;
/** Least gauge pressure that a window may begin at, Pa: the settings know none below 3000 kPa. */
const LEAST_PA = 3e6;
/** Least distance of the window's top from the working pressure, Pa: half a degree of a full bottle. */
export const LEAST_ABOVE_PA = 20 * PSI_PA;
/** How far jets and model together may be off, each way. Measured flows were from 17 % less to 4 % more than the model's. */
export const UNWEIGHED = 0.2;
export const WEIGHED = 0.05;
const REACH_PA = 1450 * PSI_PA;

type NitrousKeys = NonNullable<CarFile["nitrous"]>;
const psi = (pascal: number) => `${toUnit(pascal, "psi").toFixed(0)}`;

/** How far the true flow may be off the planned one: wide until a discharge has been weighed. */
export function flowTolerance(n: NitrousKeys, defaults: Defaults): number {
  const weighed = n["jet-coefficient"] !== undefined;
  const why = weighed
    ? "the jet coefficient is given: taken as weighed"
    : "no discharge was weighed: headgate plan calibrate narrows it";
  return defaults.quantity<"ratio">(
    "nitrous.flow-tolerance",
    n["flow-tolerance"],
    weighed ? WEIGHED : UNWEIGHED,
    "%",
    0,
    why,
  );
}

const WINDOW_KEY = "nitrous.bottle-window";
const windowText = (lowestGaugePa: number, highestGaugePa: number): string =>
  `${psi(lowestGaugePa)} to ${psi(highestGaugePa)} psi gauge`;

/** The same with another top of an assumed window, absolute Pa; the assumption says so. */
export function withTop(input: PlanInput, highestPa: number): PlanInput {
  const { nitrous, air } = input;
  const window = { ...nitrous.window, highestPa };
  const value = windowText(window.lowestPa - air.pressurePa, highestPa - air.pressurePa);
  const why = "75 % of the working pressure, and as far above it as mixture and parts hold";
  const assumptions = input.assumptions.map((a) => (a.key === WINDOW_KEY ? { key: a.key, value, why } : a));
  return { ...input, assumptions, nitrous: { ...nitrous, window } };
}

/** The window: as given, or around the working pressure, absolute Pa. */
export function resolveWindow(
  n: NitrousKeys,
  workingPa: number,
  air: Air,
  watched: boolean,
  defaults: Defaults,
): BottleWindow {
  const given = n["bottle-window"];
  if (given !== undefined) {
    const [lowestPa, highestPa] = given.map((p) => absolutePa(p, "gauge", air.pressurePa)) as [
      number,
      number,
    ];
    return { lowestPa, highestPa, watched, given: true };
  }
  const working = workingPa - air.pressurePa;
  const lowest = Math.max(LEAST_PA, working * LOWEST_SHARE);
  const highest = working + ABOVE_PA;
  defaults.note(WINDOW_KEY, windowText(lowest, highest), "75 % of the working pressure, and 75 psi above it");
  return { lowestPa: lowest + air.pressurePa, highestPa: highest + air.pressurePa, watched, given: false };
}

/** Reach of the bottle pressure sensor, gauge Pa; undefined when none is fitted. */
export function sensorReach(file: CarFile, defaults: Defaults): number | undefined {
  const c = file.controls ?? {};
  const why = "BOTTLE-LOW and BOTTLE-HIGH keep the mixture inside its limits";
  if (defaults.plain("controls.bottle-sensor", c["bottle-sensor"], "yes", why) === "no") return undefined;
  const given = c["bottle-sensor-reach"];
  if (given !== undefined) return gaugePa(given, "gauge");
  const text = `${psi(REACH_PA)} psi gauge`;
  defaults.note(
    "controls.bottle-sensor-reach",
    text,
    "what it reads at 4.5 V, and nothing at 0.5 V; a wrong one moves the window",
  );
  return REACH_PA;
}

/** The edges of the flow over the window as well; for an input without contradictions. */
export function withWindowEdges(input: PlanInput): PlanInput {
  const { nitrous, air, engine } = input;
  const { tolerance } = nitrous.edges;
  const over = flowOverWindow(
    nitrous.bottle,
    nitrous.window,
    nitrous.bottlePa,
    air.pressurePa + engine.boostPa,
  );
  const edges: FlowEdges = { tolerance, low: (1 - tolerance) * over.low, high: (1 + tolerance) * over.high };
  return { ...input, nitrous: { ...nitrous, edges } };
}
