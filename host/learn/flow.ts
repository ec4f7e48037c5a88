// Flow of the nitrous from the fall of the bottle's pressure: how much must have been drawn, beside what the plan would have drawn.

import type { SupplyData } from "#host/car/supply-data.ts";
import { interpolateLine } from "#host/car/torque-curve.ts";
import type { RunValue } from "./findings.ts";
import { flowShares, type LearnRun } from "./learn-run.ts";

/** Steps in which the log has the pressure, Pa, and the fall below which it tells nothing. */
const STEP_PA = 50_000;
const LEAST_FALL_PA = 4 * STEP_PA;
/** How well the pressure of a boiling bottle follows from what was drawn (common practice, no source). */
const LEAST = 0.1;
/** Records a hundredth apart say the same of a pressure that falls in steps. */
const ALIKE = 50;
const LONGEST_STEP_S = 0.03;
const [LOWEST, HIGHEST, TRIES] = [0.3, 2.5, 220];

/** Pressure, Pa, over what the plan would have drawn so far, kg. */
interface Point {
  readonly timeS: number;
  readonly pa: number;
  readonly plannedKg: number;
}

function pointsOf(run: LearnRun, supply: SupplyData): Point[] {
  const shares = flowShares(run);
  const fullKgS = supply.stages.reduce((sum, stage) => sum + stage.nitrousKgS, 0);
  let plannedKg = 0;
  return run.samples.map(({ time = 0, bottle = 0 }, i) => {
    const pa = bottle * 1000 + STEP_PA / 2;
    const before = run.samples[i - 1]?.time ?? time;
    const dt = Math.min(LONGEST_STEP_S, time - before);
    plannedKg += (shares[i - 1] ?? 0) * fullKgS * interpolateLine(supply.flowOverBottle, pa) * dt;
    return { timeS: time, pa, plannedKg };
  });
}

/** Mean square of what is left, Pa2, when so many times the planned mass was drawn; the pressure at the start fits best. */
function left(points: readonly Point[], supply: SupplyData, factor: number): number {
  const shares = points.map(({ plannedKg }) => interpolateLine(supply.bottleOverDrawn, factor * plannedKg));
  const dot = points.reduce((sum, { pa }, i) => sum + pa * shares[i]!, 0);
  const squares = shares.reduce((sum, share) => sum + share * share, 0);
  const startPa = dot / squares;
  return points.reduce((sum, { pa }, i) => sum + (pa - startPa * shares[i]!) ** 2, 0) / points.length;
}

/** How far the pressure fell while it flowed, Pa. */
export function fallOf(run: LearnRun, supply: SupplyData): number {
  const points = flowing(pointsOf(run, supply));
  return points.length === 0 ? 0 : points[0]!.pa - Math.min(...points.map(({ pa }) => pa));
}

const flowing = (points: readonly Point[]): Point[] => {
  const end = points.at(-1)?.plannedKg ?? 0;
  return points.filter(
    ({ plannedKg }, i) => plannedKg > 0 && (plannedKg < end || points[i - 1]!.plannedKg < end),
  );
};

/** The flow as a factor on the planned one; undefined when the pressure fell too little to tell. */
export function flowIn(run: LearnRun, supply: SupplyData): RunValue | undefined {
  const fallPa = fallOf(run, supply);
  if (fallPa < LEAST_FALL_PA) return undefined;
  const points = flowing(pointsOf(run, supply)).filter((_, i) => i % 5 === 0);
  let best = { factor: 1, left: Number.POSITIVE_INFINITY };
  for (let i = 0; i <= TRIES; i++) {
    const factor = LOWEST + (i * (HIGHEST - LOWEST)) / TRIES;
    const now = left(points, supply, factor);
    if (now < best.left) best = { factor, left: now };
  }
  const scatter = (2 * Math.sqrt((best.left * ALIKE) / (5 * points.length))) / fallPa;
  return {
    run: run.name,
    key: run.key,
    factor: best.factor,
    uncertainty: Math.hypot(LEAST, scatter, STEP_PA / 2 / fallPa),
    moments: points.length * 5,
    fromS: points[0]!.timeS,
    toS: points.at(-1)!.timeS,
  };
}
