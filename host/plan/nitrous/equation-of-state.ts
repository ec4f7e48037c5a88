/**
 * Equation of state of nitrous oxide; every other property in the plan comes from here.
 * E. W. Lemmon and R. Span, Short Fundamental Equations of State for 20 Industrial Fluids, J. Chem. Eng. Data 51
 * (2006) 785-850. Coefficients, and the zero of enthalpy and entropy, as in CoolProp dev/fluids/NitrousOxide.json.
 */

/** Molar mass used by the equation, kg/mol. */
const MOLAR_MASS_KG_MOL = 0.0440128;
/** Specific gas constant, J/(kg K). */
const GAS_CONSTANT = 8.314472 / MOLAR_MASS_KG_MOL;
const REDUCING_TEMPERATURE_K = 309.52;
const REDUCING_DENSITY_KG_M3 = 10_270 * MOLAR_MASS_KG_MOL;

/** Critical point of the equation (its reducing point lies beside it). */
export const CRITICAL = {
  temperatureK: 309.52067823146285,
  pressurePa: 7_244_816.70160716,
  densityKgM3: 10_290.903501226567 * MOLAR_MASS_KG_MOL,
} as const;

/** Lowest temperature at which liquid exists, K (triple point). */
export const TRIPLE_TEMPERATURE_K = 182.33;

/** Residual Helmholtz terms: coefficient, power of tau, power of delta, power of delta in the exponential. */
const TERMS: readonly (readonly [n: number, t: number, d: number, l: number])[] = [
  [0.88045, 0.25, 1, 0],
  [-2.4235, 1.25, 1, 0],
  [0.38237, 1.5, 1, 0],
  [0.068917, 0.25, 3, 0],
  [0.00020367, 0.875, 7, 0],
  [0.13122, 2.375, 1, 1],
  [0.46032, 2.0, 2, 1],
  [-0.0036985, 2.125, 5, 1],
  [-0.23263, 3.5, 1, 2],
  [-0.00042859, 6.5, 1, 2],
  [-0.04281, 4.75, 4, 2],
  [-0.023038, 12.5, 2, 3],
];
const IDEAL_A1 = -4.4262736272;
const IDEAL_A2 = 4.3120475243;
const IDEAL_C0 = 3.5;
const VIBRATIONS: readonly (readonly [v: number, u: number])[] = [
  [2.1769, 879],
  [1.6145, 2372],
  [0.48393, 5447],
];

/** Properties of one homogeneous state; SI, per kilogram. */
export interface FluidState {
  readonly temperatureK: number;
  readonly pressurePa: number;
  readonly densityKgM3: number;
  readonly enthalpyJKg: number;
  readonly entropyJKgK: number;
}

interface Residual {
  readonly a: number;
  readonly aDelta: number;
  readonly aDeltaDelta: number;
  readonly aTau: number;
}

function residual(tau: number, delta: number): Residual {
  const sum = { a: 0, aDelta: 0, aDeltaDelta: 0, aTau: 0 };
  for (let i = 0; i < TERMS.length; i++) {
    const row = TERMS[i]!;
    const t = row[1];
    const d = row[2];
    const l = row[3];
    const power = l === 0 ? 0 : delta ** l;
    const term = row[0] * tau ** t * delta ** d * Math.exp(-power);
    const slope = d - l * power;
    sum.a += term;
    sum.aDelta += (term * slope) / delta;
    sum.aDeltaDelta += (term * (slope * (slope - 1) - l * l * power)) / (delta * delta);
    sum.aTau += (term * t) / tau;
  }
  return sum;
}

function ideal(tau: number, delta: number): { a: number; aTau: number } {
  let a = Math.log(delta) + IDEAL_A1 + IDEAL_A2 * tau + (IDEAL_C0 - 1) * Math.log(tau);
  let aTau = IDEAL_A2 + (IDEAL_C0 - 1) / tau;
  for (const [v, u] of VIBRATIONS) {
    const theta = u / REDUCING_TEMPERATURE_K;
    a += v * Math.log1p(-Math.exp(-theta * tau));
    aTau += (v * theta) / Math.expm1(theta * tau);
  }
  return { a, aTau };
}

/** Pressure, Pa, and its slope with density, Pa m3/kg, at a temperature, K, and density, kg/m3. */
export function pressureAt(temperatureK: number, densityKgM3: number): { pressurePa: number; slope: number } {
  const delta = densityKgM3 / REDUCING_DENSITY_KG_M3;
  const r = residual(REDUCING_TEMPERATURE_K / temperatureK, delta);
  const rt = GAS_CONSTANT * temperatureK;
  return {
    pressurePa: densityKgM3 * rt * (1 + delta * r.aDelta),
    slope: rt * (1 + 2 * delta * r.aDelta + delta * delta * r.aDeltaDelta),
  };
}

/** Gibbs energy, J/kg, at a temperature, K, and density, kg/m3. */
export function gibbsAt(temperatureK: number, densityKgM3: number): number {
  const tau = REDUCING_TEMPERATURE_K / temperatureK;
  const delta = densityKgM3 / REDUCING_DENSITY_KG_M3;
  const r = residual(tau, delta);
  return GAS_CONSTANT * temperatureK * (1 + ideal(tau, delta).a + r.a + delta * r.aDelta);
}

/** All properties at a temperature, K, and density, kg/m3. Inside the two-phase dome the values mean nothing. */
export function stateAt(temperatureK: number, densityKgM3: number): FluidState {
  const tau = REDUCING_TEMPERATURE_K / temperatureK;
  const delta = densityKgM3 / REDUCING_DENSITY_KG_M3;
  const r = residual(tau, delta);
  const i = ideal(tau, delta);
  const energy = tau * (i.aTau + r.aTau);
  return {
    temperatureK,
    densityKgM3,
    pressurePa: densityKgM3 * GAS_CONSTANT * temperatureK * (1 + delta * r.aDelta),
    enthalpyJKg: GAS_CONSTANT * temperatureK * (1 + energy + delta * r.aDelta),
    entropyJKgK: GAS_CONSTANT * (energy - i.a - r.a),
  };
}
