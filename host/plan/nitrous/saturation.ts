/**
 * Saturation line of nitrous oxide: liquid and vapour of equal pressure and Gibbs energy. Solved once from the
 * equation of state on nodes even in sqrt(1 - T/Tc), in which every property is smooth, then interpolated by cubics.
 */
import {
  CRITICAL,
  type FluidState,
  gibbsAt,
  pressureAt,
  stateAt,
  TRIPLE_TEMPERATURE_K,
} from "./equation-of-state.ts";

/** Liquid and vapour in balance at one temperature; SI. */
export interface Saturation {
  readonly temperatureK: number;
  readonly pressurePa: number;
  readonly liquid: FluidState;
  readonly vapour: FluidState;
}

/** A temperature or pressure outside the saturation line: below the triple point, or above the critical one. */
export class SaturationRangeError extends RangeError {
  override readonly name = "SaturationRangeError";
}

const NODES = 160;
const LAST = NODES - 1;
const TOP = Math.sqrt(1 - TRIPLE_TEMPERATURE_K / CRITICAL.temperatureK);
const STEP = TOP / LAST;
const COLUMNS = ["p", "rl", "rv", "hl", "hv", "sl", "sv"] as const;
type Column = (typeof COLUMNS)[number];
type Table = Readonly<Record<Column, Float64Array>>;

function solveDensities(temperatureK: number, guess: readonly [number, number]): [number, number] {
  let [liquid, vapour] = guess;
  for (let i = 0; i < 60; i++) {
    const l = pressureAt(temperatureK, liquid);
    const v = pressureAt(temperatureK, vapour);
    const dp = l.pressurePa - v.pressurePa;
    const dg = gibbsAt(temperatureK, liquid) - gibbsAt(temperatureK, vapour);
    const det = l.slope * v.slope * (1 / liquid - 1 / vapour);
    const stepL = (v.slope * (dp / vapour - dg)) / det;
    const stepV = (l.slope * (dp / liquid - dg)) / det;
    liquid += stepL;
    vapour += stepV;
    if (Math.abs(stepL) < 1e-10 * liquid && Math.abs(stepV) < 1e-10 * vapour) break;
  }
  return [liquid, vapour];
}

function buildTable(): Table {
  const table = Object.fromEntries(COLUMNS.map((c) => [c, new Float64Array(NODES)])) as unknown as Record<
    Column,
    Float64Array
  >;
  const store = (i: number, liquid: FluidState, vapour: FluidState) => {
    const row = [liquid.pressurePa, liquid.densityKgM3, vapour.densityKgM3, liquid.enthalpyJKg];
    row.push(vapour.enthalpyJKg, liquid.entropyJKgK, vapour.entropyJKgK);
    for (const [k, column] of COLUMNS.entries()) table[column][i] = row[k]!;
  };
  const critical = stateAt(CRITICAL.temperatureK, CRITICAL.densityKgM3);
  store(0, critical, critical);
  let before: [number, number] = [1237, 2.6];
  let last: [number, number] | undefined;
  for (let i = LAST; i > 0; i--) {
    const temperatureK = CRITICAL.temperatureK * (1 - (i * STEP) ** 2);
    const guess: [number, number] = last
      ? [2 * last[0] - before[0], last[1] * Math.max(last[1] / before[1], 0.5)]
      : before;
    const solved = solveDensities(temperatureK, guess);
    before = last ?? solved;
    last = solved;
    store(i, stateAt(temperatureK, solved[0]), stateAt(temperatureK, solved[1]));
  }
  return table;
}

let built: Table | undefined;
function table(): Table {
  built ??= buildTable();
  return built;
}

/** What the cubic through four nodes gives each of them, at the place that was asked for last; asked for so often that no object is made. */
const weights = new Float64Array(4);

/** Finds the weights of a place on the line; returns the first of its four nodes. */
function weigh(x: number): number {
  const first = Math.min(Math.max(Math.floor(x / STEP) - 1, 0), NODES - 4);
  const u = x / STEP - first;
  const u1 = u - 1;
  const u2 = u - 2;
  const u3 = u - 3;
  weights[0] = (-u1 * u2 * u3) / 6;
  weights[1] = (u * u2 * u3) / 2;
  weights[2] = (-u * u1 * u3) / 2;
  weights[3] = (u * u1 * u2) / 6;
  return first;
}

/** Value at the place that was weighed last. */
const valueAt = (values: Float64Array, first: number): number =>
  weights[0]! * values[first]! +
  weights[1]! * values[first + 1]! +
  weights[2]! * values[first + 2]! +
  weights[3]! * values[first + 3]!;

function rangeError(what: string): SaturationRangeError {
  return new SaturationRangeError(
    `${what} is outside the saturation line of nitrous oxide (-90.8 to 36.37 C)`,
  );
}

/** Saturation at a temperature, K, from the triple point (182.33) to the critical one (309.52); outside it throws SaturationRangeError. */
export function saturationAt(temperatureK: number): Saturation {
  if (!(temperatureK >= TRIPLE_TEMPERATURE_K && temperatureK <= CRITICAL.temperatureK)) {
    throw rangeError(`${temperatureK} K`);
  }
  const at = weigh(Math.sqrt(1 - temperatureK / CRITICAL.temperatureK));
  const t = table();
  const pressurePa = valueAt(t.p, at);
  const liquid = {
    temperatureK,
    pressurePa,
    densityKgM3: valueAt(t.rl, at),
    enthalpyJKg: valueAt(t.hl, at),
    entropyJKgK: valueAt(t.sl, at),
  };
  const vapour = {
    temperatureK,
    pressurePa,
    densityKgM3: valueAt(t.rv, at),
    enthalpyJKg: valueAt(t.hv, at),
    entropyJKgK: valueAt(t.sv, at),
  };
  return { temperatureK, pressurePa, liquid, vapour };
}

function inverse(values: Float64Array, wanted: number): number {
  let low = 0;
  let high = LAST;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (values[middle]! > wanted) low = middle;
    else high = middle;
  }
  const x = secantRoot(values, wanted, low * STEP, high * STEP);
  return CRITICAL.temperatureK * (1 - x * x);
}

/** An inverse is found to this part of the line. */
const TOLERANCE = 1e-13;
const MOST_SECANTS = 20;

/** Place between two neighbouring nodes, where the line has a value: it is all but straight there. */
function secantRoot(values: Float64Array, wanted: number, from: number, to: number): number {
  let [a, b] = [from, to];
  let [fa, fb] = [valueAt(values, weigh(a)) - wanted, valueAt(values, weigh(b)) - wanted];
  for (let i = 0; i < MOST_SECANTS && fa !== fb; i++) {
    const x = Math.min(Math.max(b - (fb * (b - a)) / (fb - fa), from), to);
    if (Math.abs(x - b) < TOLERANCE) return x;
    [a, fa] = [b, fb];
    b = x;
    fb = valueAt(values, weigh(x)) - wanted;
  }
  return b;
}

/** Bottle temperature, K, at an absolute vapour pressure, Pa; the inverse of `saturationAt`. Throws SaturationRangeError outside. */
export function saturationTemperatureK(pressurePa: number): number {
  const t = table();
  if (!(pressurePa >= t.p[LAST]! && pressurePa <= CRITICAL.pressurePa)) {
    throw rangeError(`${(pressurePa / 1e3).toFixed(0)} kPa absolute`);
  }
  return inverse(t.p, pressurePa);
}

/** Temperature, K, at which the saturated liquid has an entropy, J/(kg K); where an isentropic liquid starts to boil. */
export function boilingTemperatureK(entropyJKgK: number): number {
  return inverse(table().sl, entropyJKgK);
}
