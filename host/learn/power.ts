// Power of the engine from runs in which nothing flowed, and what nitrous adds to it in the others, by the torque at the crankshaft.
import type { CarData } from "#host/car/car.ts";
import { radPerS, torqueAt } from "#host/car/torque-curve.ts";
import type { RunValue } from "./findings.ts";
import type { LearnRun } from "./learn-run.ts";
import type { Moment } from "./moments.ts";

/** Records that tell nothing new of one another: their lines share what is around them. */
const ALIKE = 20;
/** A second of pulling is the least. */
export const LEAST_MOMENTS = 100;
/** Pulling nearer to the tyres' limit than this, a driver may hold the pedal back without a sensor telling. */
const UNHURRIED = 0.9;
/** Wheels that slip more than this spin. */
const MOST_SLIP = 0.15;
/** A flow that moved by more than this in the last moments has not arrived yet, or not everywhere. */
const STEADY_SHARE = 0.1;
const LEAST_SHARE = 0.1;
/** What is not in the scatter: roughness of the curve's shape, of resistance, of pressures. */
const LEAST_ENGINE = 0.015;
const LEAST_NITROUS = 0.02;

/** Rows further off than so many times the usual do not count. */
const FAR = 6;

/** A row of the regression: what was seen against what it should be for a factor of 1. */
interface Row {
  readonly seen: number;
  readonly planned: number;
  readonly timeS: number;
}

const highest = (moments: readonly Moment[]): number =>
  moments.reduce((most, { gripped, friction }) => (gripped ? Math.max(most, friction) : most), 0);

/** Moments in which the engine pulls at full throttle, away from the limit of the tyres. */
function pulling(moments: readonly Moment[]): Moment[] {
  const most = UNHURRIED * highest(moments);
  return moments.filter((m) => m.pulls && m.gripped && m.slip < MOST_SLIP && m.friction < most);
}

/** Without rows that lie far from all others: an ignition that was cut, a clutch that slipped. */
function usual(rows: readonly Row[]): Row[] {
  const ratios = rows.map(({ seen, planned }) => seen / planned).sort((a, b) => a - b);
  const middle = ratios[ratios.length >> 1] ?? 1;
  const off = ({ seen, planned }: Row): number => Math.abs(seen - middle * planned);
  const usualOff = [...rows].map(off).sort((a, b) => a - b)[rows.length >> 1] ?? 0;
  return rows.filter((row) => off(row) <= FAR * usualOff);
}

/** Least squares through the origin; undefined with too few rows. */
function fitted({ name, key }: LearnRun, all: readonly Row[], least: number): RunValue | undefined {
  const rows = usual(all);
  if (rows.length < LEAST_MOMENTS) return undefined;
  const sum = (of: (row: Row) => number): number => rows.reduce((total, row) => total + of(row), 0);
  const squares = sum(({ planned }) => planned * planned);
  const factor = sum(({ seen, planned }) => seen * planned) / squares;
  const left = sum(({ seen, planned }) => (seen - factor * planned) ** 2) / rows.length;
  const deviation = Math.sqrt((left * ALIKE) / squares) / Math.abs(factor);
  return {
    run: name,
    key,
    factor,
    uncertainty: Math.hypot(least, 2 * deviation),
    moments: rows.length,
    fromS: rows[0]!.timeS,
    toS: rows.at(-1)!.timeS,
  };
}

/** The engine's torque as a factor on the car's curve, from a run in which nothing flowed. */
export function engineIn(run: LearnRun, moments: readonly Moment[], car: CarData): RunValue | undefined {
  const rows = pulling(moments).map(({ timeS, torqueNm, rpm }) => ({
    timeS,
    seen: torqueNm,
    planned: torqueAt(car.torque, rpm),
  }));
  return fitted(run, rows, LEAST_ENGINE);
}

/** What full flow adds at a moment, W, by the plan. */
export type PlannedPower = (moment: Moment) => number;

const steady = (moments: readonly Moment[]): Moment[] =>
  pulling(moments).filter(({ share, spread }) => share >= LEAST_SHARE && spread <= STEADY_SHARE);

/** Shares of full flow, from the least to the most, at the moments that tell the nitrous power; undefined without any. */
export function sharesIn(moments: readonly Moment[]): readonly [number, number] | undefined {
  const shares = steady(moments).map(({ share }) => share);
  return shares.length === 0 ? undefined : [Math.min(...shares), Math.max(...shares)];
}

/** The added power as a factor on the planned one, once the engine's own factor and its uncertainty are known. */
export function nitrousIn(
  run: LearnRun,
  moments: readonly Moment[],
  car: CarData,
  engine: { readonly factor: number; readonly uncertainty: number },
  plannedW: PlannedPower,
): RunValue | undefined {
  const here = steady(moments);
  const rows = here.map((m) => ({
    timeS: m.timeS,
    seen: m.torqueNm - engine.factor * torqueAt(car.torque, m.rpm),
    planned: (m.share * plannedW(m)) / radPerS(m.rpm),
  }));
  const value = fitted(run, rows, LEAST_NITROUS);
  if (value === undefined) return undefined;
  const own = here.reduce((sum, m) => sum + engine.factor * torqueAt(car.torque, m.rpm), 0);
  const added = rows.reduce((sum, { seen }) => sum + seen, 0);
  const ofEngine = (engine.uncertainty * own) / Math.abs(added);
  return { ...value, uncertainty: Math.hypot(value.uncertainty, ofEngine) };
}
