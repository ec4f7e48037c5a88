/** Every dimension with its units; a value inside the program is always in the dimension's base unit, the one with factor 1. */
import {
  CELSIUS_ZERO_K,
  FOOT_M,
  HORSEPOWER_W,
  INCH_M,
  METRIC_HORSEPOWER_W,
  MILE_M,
  POUND_FORCE_N,
  POUND_KG,
  PSI_PA,
} from "./constants.ts";

/** Whether a pressure is counted from the surrounding air or from vacuum. */
export type PressureReference = "gauge" | "absolute";

/** One unit: base value = (written value + offset) * factor; `aliases` are other accepted spellings. */
export interface Unit {
  readonly factor: number;
  readonly offset?: number;
  readonly aliases?: readonly string[];
}

/** A dimension as people name it, the base unit that values are kept in, and its units by canonical spelling. */
export interface DimensionEntry {
  readonly label: string;
  readonly base: string;
  readonly units: Readonly<Record<string, Unit>>;
}

const FAHRENHEIT_K = 5 / 9;
const HOUR_S = 3600;
const LITRE_M3 = 1e-3;
/** 231 cubic inches, by definition; the imperial gallon is a fifth larger. */
const US_GALLON_M3 = 231 * INCH_M ** 3;

const define = <const T extends Readonly<Record<string, DimensionEntry>>>(table: T): T => table;

/** The unit table. Dimensions that share a spelling (C, F, K) are told apart by what the reader expects. */
export const DIMENSIONS = define({
  pressure: {
    label: "pressure",
    base: "Pa",
    units: {
      psi: { factor: PSI_PA, aliases: ["PSI"] },
      bar: { factor: 1e5 },
      kPa: { factor: 1e3, aliases: ["kpa"] },
      MPa: { factor: 1e6 },
      Pa: { factor: 1 },
    },
  },
  speed: {
    label: "speed",
    base: "m/s",
    units: {
      mph: { factor: MILE_M / HOUR_S, aliases: ["MPH"] },
      "km/h": { factor: 1000 / HOUR_S, aliases: ["kmh", "kph", "kmph"] },
      "m/s": { factor: 1 },
    },
  },
  rotation: {
    label: "rotational speed",
    base: "rpm",
    units: { rpm: { factor: 1, aliases: ["RPM", "1/min", "rev/min"] } },
  },
  rotationRate: {
    label: "change of rotational speed",
    base: "rpm/s",
    units: { "rpm/s": { factor: 1, aliases: ["RPM/s"] } },
  },
  time: {
    label: "time",
    base: "s",
    units: {
      s: { factor: 1, aliases: ["sec"] },
      ms: { factor: 1e-3 },
      us: { factor: 1e-6, aliases: ["µs", "μs"] },
      min: { factor: 60 },
      h: { factor: HOUR_S },
    },
  },
  voltage: { label: "voltage", base: "V", units: { V: { factor: 1 }, mV: { factor: 1e-3 } } },
  current: { label: "current", base: "A", units: { A: { factor: 1 }, mA: { factor: 1e-3 } } },
  resistance: {
    label: "resistance",
    base: "ohm",
    units: { ohm: { factor: 1, aliases: ["Ohm", "Ω"] }, kohm: { factor: 1e3, aliases: ["kOhm", "kΩ"] } },
  },
  frequency: { label: "frequency", base: "Hz", units: { Hz: { factor: 1 }, kHz: { factor: 1e3 } } },
  temperature: {
    label: "temperature",
    base: "K",
    units: {
      C: { factor: 1, offset: CELSIUS_ZERO_K, aliases: ["°C", "degC"] },
      F: { factor: FAHRENHEIT_K, offset: CELSIUS_ZERO_K / FAHRENHEIT_K - 32, aliases: ["°F", "degF"] },
      K: { factor: 1 },
    },
  },
  temperatureDifference: {
    label: "temperature difference",
    base: "K",
    units: {
      K: { factor: 1 },
      C: { factor: 1, aliases: ["°C", "degC"] },
      F: { factor: FAHRENHEIT_K, aliases: ["°F", "degF"] },
    },
  },
  angle: { label: "angle", base: "deg", units: { deg: { factor: 1, aliases: ["degree", "degrees", "°"] } } },
  ratio: { label: "share", base: "1", units: { "%": { factor: 0.01, aliases: ["percent"] } } },
  ratioRate: {
    label: "change of a share",
    base: "1/s",
    units: { "%/s": { factor: 0.01, aliases: ["% / s"] } },
  },
  length: {
    label: "length",
    base: "m",
    units: {
      mm: { factor: 1e-3 },
      cm: { factor: 1e-2 },
      m: { factor: 1 },
      km: { factor: 1e3 },
      in: { factor: INCH_M, aliases: ["inch", "inches"] },
      ft: { factor: FOOT_M, aliases: ["feet"] },
      mile: { factor: MILE_M, aliases: ["miles"] },
    },
  },
  area: {
    label: "area",
    base: "m2",
    units: {
      mm2: { factor: 1e-6, aliases: ["mm²"] },
      cm2: { factor: 1e-4, aliases: ["cm²"] },
      m2: { factor: 1, aliases: ["m²"] },
      in2: { factor: INCH_M * INCH_M, aliases: ["in²"] },
      ft2: { factor: FOOT_M * FOOT_M, aliases: ["ft²"] },
    },
  },
  volume: {
    label: "volume",
    base: "m3",
    units: {
      L: { factor: LITRE_M3, aliases: ["l", "litre", "litres", "liter", "liters"] },
      cc: { factor: 1e-6, aliases: ["cm3", "cm³", "mL", "ml"] },
      m3: { factor: 1, aliases: ["m³"] },
    },
  },
  mass: {
    label: "mass",
    base: "kg",
    units: {
      kg: { factor: 1 },
      g: { factor: 1e-3 },
      lb: { factor: POUND_KG, aliases: ["lbs"] },
      oz: { factor: POUND_KG / 16 },
    },
  },
  inertia: {
    label: "rotating inertia",
    base: "kg m2",
    units: { "kg m2": { factor: 1, aliases: ["kgm2", "kg m²"] } },
  },
  force: {
    label: "force",
    base: "N",
    units: { N: { factor: 1 }, kN: { factor: 1e3 }, lbf: { factor: POUND_FORCE_N } },
  },
  power: {
    label: "power",
    base: "W",
    units: {
      kW: { factor: 1e3 },
      W: { factor: 1 },
      hp: { factor: HORSEPOWER_W, aliases: ["HP"] },
      PS: { factor: METRIC_HORSEPOWER_W },
    },
  },
  torque: {
    label: "torque",
    base: "Nm",
    units: {
      Nm: { factor: 1, aliases: ["N m", "N·m", "N-m"] },
      "lb-ft": { factor: POUND_FORCE_N * FOOT_M, aliases: ["lb ft", "lbf ft", "lbf-ft", "ft-lb", "ft lb"] },
    },
  },
  massFlow: {
    label: "mass flow",
    base: "kg/s",
    units: {
      "g/s": { factor: 1e-3 },
      "kg/s": { factor: 1 },
      "kg/h": { factor: 1 / HOUR_S },
      "lb/h": { factor: POUND_KG / HOUR_S, aliases: ["lb/hr"] },
      "lb/min": { factor: POUND_KG / 60 },
    },
  },
  volumeFlow: {
    label: "volume flow",
    base: "m3/s",
    units: {
      "m3/s": { factor: 1, aliases: ["m³/s"] },
      "L/h": { factor: LITRE_M3 / HOUR_S, aliases: ["l/h", "lph"] },
      "L/min": { factor: LITRE_M3 / 60, aliases: ["l/min"] },
      "gal/h": { factor: US_GALLON_M3 / HOUR_S, aliases: ["gph"] },
      "cc/min": { factor: 1e-6 / 60, aliases: ["cm3/min", "mL/min", "ml/min"] },
    },
  },
  density: {
    label: "density",
    base: "kg/m3",
    units: {
      "kg/m3": { factor: 1, aliases: ["kg/m³", "g/L"] },
      "kg/L": { factor: 1e3, aliases: ["g/cc", "g/cm3"] },
    },
  },
  specificEnergy: {
    label: "energy per mass",
    base: "J/kg",
    units: { "MJ/kg": { factor: 1e6 }, "kJ/kg": { factor: 1e3 }, "J/kg": { factor: 1 } },
  },
  speedRate: {
    label: "change of speed",
    base: "m/s2",
    units: {
      "km/h/s": { factor: 1000 / HOUR_S, aliases: ["kmh/s", "kph/s"] },
      "mph/s": { factor: MILE_M / HOUR_S },
      "m/s2": { factor: 1, aliases: ["m/s²"] },
    },
  },
  gearSpeed: {
    label: "engine speed for a road speed",
    base: "rpm/(m/s)",
    units: {
      "rpm/(km/h)": { factor: HOUR_S / 1000, aliases: ["rpm per km/h"] },
      "rpm/mph": { factor: HOUR_S / MILE_M, aliases: ["rpm per mph"] },
    },
  },
  mixture: { label: "mixture", base: "lambda", units: { lambda: { factor: 1 } } },
  pulsesPerRevolution: {
    label: "number of pulses per revolution",
    base: "pulses/rev",
    units: { "pulses/rev": { factor: 1, aliases: ["pulse/rev", "pulses/revolution", "pulses per rev"] } },
  },
  pulsesPerDistance: {
    label: "number of pulses per distance",
    base: "pulses/m",
    units: {
      "pulses/km": { factor: 1e-3, aliases: ["pulses per km"] },
      "pulses/mile": { factor: 1 / MILE_M, aliases: ["pulses per mile"] },
      "pulses/m": { factor: 1 },
    },
  },
});

/** Name of a dimension in the unit table. */
export type Dimension = keyof typeof DIMENSIONS;

/** Canonical spellings of the units of a dimension. */
export type UnitOf<D extends Dimension> = { [K in D]: keyof (typeof DIMENSIONS)[K]["units"] & string }[D];

/** Canonical spelling of any unit. */
export type UnitName = UnitOf<Dimension>;

/** All dimensions, in the order in which an unexpected unit is looked for. */
export const DIMENSION_NAMES = Object.keys(DIMENSIONS) as Dimension[];

/** A dimension's entry with its units readable by any string. */
export const dimensionEntry = (dimension: Dimension): DimensionEntry => DIMENSIONS[dimension];
