/** The bottle during a run, over a whole fill and on a hot day. */

import type { Run } from "#host/car/settled/run.ts";
import type { PlanInput } from "../input/plan-input.ts";
import {
  type BottleSample,
  contentAt,
  discharge,
  type FillRun,
  HOTTEST_K,
  heaterTimeS,
  heatingS,
  runsOfAFill,
  soakedPressure,
} from "./bottle.ts";
import { flowAtPressure, type MixtureRow } from "./mixture.ts";
import { vesselAt } from "./states.ts";

/** Pressure drop at which a run must end, as a share of the starting pressure (common practice, no source: about 15 %). */
const ALLOWED_DROP = 0.15;

/** A heater begins at this at the warmest, K (15 C, judgement); where the file states a colder bottle, at that. */
const USUAL_COLD_K = 288.15;

/** Results for the bottle; absolute pressures, Pa. */
export interface BottlePlan {
  readonly samples: readonly BottleSample[];
  readonly usedKg: number;
  readonly startPa: number;
  readonly endPa: number;
  readonly endTemperatureK: number;
  readonly singlePhaseAtStart: boolean;
  readonly fullDensityKgM3: number;
  readonly runs: readonly FillRun[];
  /** Runs of a fill with the flow at its upper and at its lower tolerance. */
  readonly runsRange: readonly [number, number];
  readonly heaterS: number;
  /** Time of the heater from a cold bottle, K, to the working pressure, s. */
  readonly warmFromK: number;
  readonly warmUpS: number;
  /** Time in which the heater would bring a full bottle at its working pressure to the hottest that it may be, s. */
  readonly overheatS: number;
  readonly soaks: readonly {
    readonly temperatureK: number;
    readonly pressurePa: number;
    readonly singlePhase: boolean;
  }[];
}

function shareAt(run: Run): (timeS: number) => number {
  const step = (run.samples.at(-1)?.timeS ?? 1) / Math.max(1, run.samples.length - 1);
  return (timeS) => run.samples[Math.min(run.samples.length - 1, Math.round(timeS / step))]?.share ?? 0;
}

/** Plans the bottle around a run. */
export function planBottle(input: PlanInput, run: Run, rows: readonly MixtureRow[]): BottlePlan {
  const { bottle, bottlePa, edges } = input.nitrous;
  const share = shareAt(run);
  const flow = (timeS: number, pressurePa: number) => share(timeS) * flowAtPressure(rows, pressurePa);
  const runS = run.samples.at(-1)?.timeS ?? 0;
  const full = contentAt(bottle, bottle.chargeKg, bottlePa);
  const emptied = discharge(bottle, { massKg: bottle.chargeKg, content: full }, runS, flow);
  const end = emptied.samples.at(-1)!;
  const lowestPa = bottlePa * (1 - ALLOWED_DROP);
  const runs = (factor: number) =>
    runsOfAFill(bottle, bottlePa, lowestPa, runS, (timeS, pressurePa) => factor * flow(timeS, pressurePa));
  const after = vesselAt(end.massKg / bottle.volumeM3, end.temperatureK);
  const warmFromK = Math.min(USUAL_COLD_K, input.nitrous.day?.temperatureK ?? USUAL_COLD_K);
  const cold = vesselAt(bottle.chargeKg / bottle.volumeM3, warmFromK);
  return {
    samples: emptied.samples,
    usedKg: emptied.usedKg,
    startPa: bottlePa,
    endPa: end.pressurePa,
    endTemperatureK: end.temperatureK,
    singlePhaseAtStart: full.singlePhase,
    fullDensityKgM3: bottle.chargeKg / bottle.volumeM3,
    runs: runs(1),
    runsRange: [runs(1 + edges.tolerance).length, runs(1 - edges.tolerance).length],
    heaterS: heaterTimeS(bottle, end.massKg, after, bottlePa),
    warmFromK,
    warmUpS: heaterTimeS(bottle, bottle.chargeKg, cold, bottlePa),
    overheatS: heatingS(
      bottle,
      bottle.chargeKg,
      full,
      vesselAt(bottle.chargeKg / bottle.volumeM3, HOTTEST_K),
    ),
    soaks: [303.15, 313.15, 323.15, HOTTEST_K].map((temperatureK) => ({
      temperatureK,
      ...soakedPressure(bottle, bottle.chargeKg, temperatureK),
    })),
  };
}
