// The closed list of units in which settings are stored: the suffix in the name says what the number means.

/** A unit of storage. Raw number = value in `written` x `perWritten`. */
export interface StoredUnit {
  /** Ending of the setting's name. */
  readonly suffix: string;
  /** What is measured, in the words of `host/units`; empty for plain numbers. */
  readonly dimension: string;
  /** The unit that people read back. */
  readonly written: string;
  /** Raw counts for one written unit. */
  readonly perWritten: number;
  /** Pressures say against what they are measured. */
  readonly reference?: "absolute" | "gauge";
}

/** All stored units by suffix. */
export const UNITS = {
  Rpm: { suffix: "Rpm", dimension: "rotational speed", written: "rpm", perWritten: 1 },
  Permille: { suffix: "Permille", dimension: "ratio", written: "%", perWritten: 10 },
  PercentPerS: { suffix: "PercentPerS", dimension: "ratio rate", written: "%/s", perWritten: 1 },
  DeciKmh: { suffix: "DeciKmh", dimension: "speed", written: "km/h", perWritten: 10 },
  DeciKpa: {
    suffix: "DeciKpa",
    dimension: "pressure",
    written: "kPa",
    perWritten: 10,
    reference: "absolute",
  },
  Ms: { suffix: "Ms", dimension: "time", written: "s", perWritten: 1000 },
  Us: { suffix: "Us", dimension: "time", written: "ms", perWritten: 1000 },
  Mv: { suffix: "Mv", dimension: "voltage", written: "V", perWritten: 1000 },
  Hz: { suffix: "Hz", dimension: "frequency", written: "Hz", perWritten: 1 },
  KpaGauge: { suffix: "KpaGauge", dimension: "pressure", written: "kPa", perWritten: 1, reference: "gauge" },
  DeciKpaGauge: {
    suffix: "DeciKpaGauge",
    dimension: "pressure",
    written: "kPa",
    perWritten: 10,
    reference: "gauge",
  },
  S: { suffix: "S", dimension: "time", written: "s", perWritten: 1 },
  RpmPerS: { suffix: "RpmPerS", dimension: "change of rotational speed", written: "rpm/s", perWritten: 1 },
  DeciKmhPerS: { suffix: "DeciKmhPerS", dimension: "change of speed", written: "km/h/s", perWritten: 10 },
  DeciRpmPerKmh: {
    suffix: "DeciRpmPerKmh",
    dimension: "engine speed for a road speed",
    written: "rpm/(km/h)",
    perWritten: 10,
  },
  MilliLambda: { suffix: "MilliLambda", dimension: "mixture", written: "lambda", perWritten: 1000 },
  DeciDeg: { suffix: "DeciDeg", dimension: "angle", written: "deg", perWritten: 10 },
  HalfPulses: {
    suffix: "HalfPulses",
    dimension: "pulses per revolution",
    written: "pulses/rev",
    perWritten: 2,
  },
  PerKm: { suffix: "PerKm", dimension: "pulses per distance", written: "pulses/km", perWritten: 1 },
} as const satisfies Record<string, StoredUnit>;

export type UnitSuffix = keyof typeof UNITS;
