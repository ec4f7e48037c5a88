/** Conversion constants from their legal definitions; every other factor in the unit table is a product of these. */

/** International inch, m (exact, 1959 yard and pound agreement). */
export const INCH_M = 0.0254;
/** International foot, m (exact). */
export const FOOT_M = 12 * INCH_M;
/** Statute mile, m (exact). */
export const MILE_M = 5280 * FOOT_M;
/** Avoirdupois pound, kg (exact, 1959 agreement). */
export const POUND_KG = 0.45359237;
/** Standard acceleration of gravity, m/s2 (exact, 3rd CGPM 1901). */
export const STANDARD_GRAVITY = 9.80665;
/** Pound-force, N (exact: pound times standard gravity). */
export const POUND_FORCE_N = POUND_KG * STANDARD_GRAVITY;
/** Pound-force per square inch, Pa. */
export const PSI_PA = POUND_FORCE_N / (INCH_M * INCH_M);
/** Mechanical horsepower, W: 550 foot pounds-force a second. */
export const HORSEPOWER_W = 550 * FOOT_M * POUND_FORCE_N;
/** Metric horsepower, W: 75 kilogram-force metres a second. */
export const METRIC_HORSEPOWER_W = 75 * STANDARD_GRAVITY;
/** Standard atmosphere, Pa (exact, 10th CGPM 1954; ISO 2533). */
export const ATMOSPHERE_PA = 101_325;
/** Zero of the Celsius scale, K (exact). */
export const CELSIUS_ZERO_K = 273.15;
