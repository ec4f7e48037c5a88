/** Standard atmosphere of ISO 2533:1975 up to 11 km of geopotential height, from its defining constants. */
import { STANDARD_GRAVITY } from "#host/units/constants.ts";

const SEA_LEVEL_K = 288.15;
const SEA_LEVEL_PA = 101_325;
const LAPSE_K_M = 0.0065;
const GAS_J_KG_K = 8314.32 / 28.9644;
const EARTH_RADIUS_M = 6_356_766;

/** Air at a place: temperature, K, pressure, Pa, density, kg/m3. */
export interface Air {
  readonly temperatureK: number;
  readonly pressurePa: number;
  readonly densityKgM3: number;
}

/** Geopotential height, m, of a geometric one, m. */
export const geopotentialM = (heightM: number): number =>
  (EARTH_RADIUS_M * heightM) / (EARTH_RADIUS_M + heightM);

/**
 * Air at a geopotential height, m (-1000 to 11000, else RangeError). A given temperature, K, replaces the standard one in the
 * density; the pressure stays the standard one of that height.
 */
export function airAt(geopotentialHeightM: number, temperatureK?: number): Air {
  if (!(geopotentialHeightM >= -1000 && geopotentialHeightM <= 11_000))
    throw new RangeError("height outside -1 to 11 km");
  const standardK = SEA_LEVEL_K - LAPSE_K_M * geopotentialHeightM;
  const exponent = STANDARD_GRAVITY / (GAS_J_KG_K * LAPSE_K_M);
  const pressurePa = SEA_LEVEL_PA * (standardK / SEA_LEVEL_K) ** exponent;
  const actualK = temperatureK ?? standardK;
  return { temperatureK: actualK, pressurePa, densityKgM3: pressurePa / (GAS_J_KG_K * actualK) };
}

/** Density at sea level in the standard atmosphere, kg/m3. */
export const SEA_LEVEL_DENSITY_KG_M3 = SEA_LEVEL_PA / (GAS_J_KG_K * SEA_LEVEL_K);
