/**
 * Oxygen balance of burning a fuel in air and in nitrous oxide, from atomic weights; ratios are mass per mass of fuel.
 * CxHyOz + (x + y/4 - z/2) O2 -> x CO2 + y/2 H2O, and 2 N2O -> 2 N2 + O2.
 */

/** Conventional standard atomic weights, g/mol; each lies inside the interval of the CIAAW table of 2021. */
const ATOMIC_WEIGHT = { H: 1.008, C: 12.011, N: 14.007, O: 15.999 } as const;

const OXYGEN_G_MOL = 2 * ATOMIC_WEIGHT.O;
const NITROUS_G_MOL = 2 * ATOMIC_WEIGHT.N + ATOMIC_WEIGHT.O;

/** Mass share of free oxygen in dry air (20.9476 mole percent; Gordon 1982, in the NASA Glenn data file) of 28.9654 g/mol. */
export const AIR_OXYGEN_SHARE = (0.209476 * OXYGEN_G_MOL) / 28.9654;

/** Mass share of oxygen in nitrous oxide. */
export const NITROUS_OXYGEN_SHARE = ATOMIC_WEIGHT.O / NITROUS_G_MOL;

/** Heat released when nitrous oxide decomposes, J/kg: its enthalpy of formation, 81.6 kJ/mol (NASA Glenn data, Gurvich 1989). */
export const DECOMPOSITION_HEAT_J_KG = 81_600 / (NITROUS_G_MOL / 1000);

/** Atoms in a fuel molecule, or in its mean formula. */
export interface Formula {
  readonly C: number;
  readonly H: number;
  readonly O: number;
}

/** Molar mass of a formula, g/mol. */
export const molarMassGMol = (f: Formula): number =>
  f.C * ATOMIC_WEIGHT.C + f.H * ATOMIC_WEIGHT.H + f.O * ATOMIC_WEIGHT.O;

/** Oxygen that burns a kilogram of fuel completely, kg. Throws RangeError for what does not burn. */
export function oxygenPerKg(f: Formula): number {
  const moles = f.C + f.H / 4 - f.O / 2;
  if (!(moles > 0)) throw new RangeError("this formula needs no oxygen to burn");
  return (moles * OXYGEN_G_MOL) / molarMassGMol(f);
}

/** Stoichiometric air, kg per kg of fuel, from its oxygen need, kg/kg. */
export const airPerKg = (oxygenKgKg: number): number => oxygenKgKg / AIR_OXYGEN_SHARE;

/** Stoichiometric nitrous oxide, kg per kg of fuel, from its oxygen need, kg/kg. */
export const nitrousPerKg = (oxygenKgKg: number): number => oxygenKgKg / NITROUS_OXYGEN_SHARE;
