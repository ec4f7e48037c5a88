/** Fuels with the properties that the calculations use: oxygen demand, heating value, density. Pump fuels vary; the numbers are stated, not measured. */
import { type Formula, oxygenPerKg } from "./oxygen-balance.ts";

/** A fuel: oxygen to burn it, kg/kg; lower heating value, J/kg; density at about 20 C, kg/m3; where the numbers are from. */
export interface Fuel {
  readonly name: string;
  readonly oxygenKgKg: number;
  readonly heatingValueJKg: number;
  readonly densityKgM3: number;
  readonly source: string;
}

const BTU_LB_J_KG = 2326;
const AFDC = "heating value: US DOE Alternative Fuels Data Center, Properties of Fuels";
const GASOLINE: Formula = { C: 1, H: 1.87, O: 0 };
const ETHANOL: Formula = { C: 2, H: 6, O: 1 };
const METHANOL: Formula = { C: 1, H: 4, O: 1 };

const gasoline: Fuel = {
  name: "gasoline",
  oxygenKgKg: oxygenPerKg(GASOLINE),
  heatingValueJKg: 18_676 * BTU_LB_J_KG,
  densityKgM3: 745,
  source: `CH1.87 as mean formula (common textbook value, from memory); density from memory; ${AFDC}`,
};
const ethanol: Fuel = {
  name: "ethanol",
  oxygenKgKg: oxygenPerKg(ETHANOL),
  heatingValueJKg: 11_585 * BTU_LB_J_KG,
  densityKgM3: 789.3,
  source: `C2H5OH; density from memory; ${AFDC}`,
};
const methanol: Fuel = {
  name: "methanol",
  oxygenKgKg: oxygenPerKg(METHANOL),
  heatingValueJKg: 8_637 * BTU_LB_J_KG,
  densityKgM3: 791,
  source: `CH3OH; density from memory; ${AFDC}`,
};

/** Blend of two fuels by a volume share (0 to 1) of the first; heat and oxygen add by mass, volumes are taken to add. */
function blendByVolume(name: string, a: Fuel, b: Fuel, shareOfA: number): Fuel {
  const massA = shareOfA * a.densityKgM3;
  const massB = (1 - shareOfA) * b.densityKgM3;
  const mean = (x: number, y: number) => (massA * x + massB * y) / (massA + massB);
  return {
    name,
    oxygenKgKg: mean(a.oxygenKgKg, b.oxygenKgKg),
    heatingValueJKg: mean(a.heatingValueJKg, b.heatingValueJKg),
    densityKgM3: massA + massB,
    source: `${(100 * shareOfA).toFixed(0)} % by volume ${a.name}, the rest ${b.name}`,
  };
}

/** Fuels known by name. E85 is 85 % ethanol by volume; at the pump it may be anything from 51 to 83 %. */
export const FUELS = {
  gasoline,
  E85: blendByVolume("E85", ethanol, gasoline, 0.85),
  ethanol,
  methanol,
} as const satisfies Record<string, Fuel>;

/** Name of a built-in fuel. */
export type FuelName = keyof typeof FUELS;
