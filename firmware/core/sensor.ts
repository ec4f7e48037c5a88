// What the core knows of one analog sensor.

/** One analog sensor: codes to value, prepared from the settings. */
export class Sensor {
  fitted: u32;
  zeroCode: i32;
  /** Value for 16384 codes. */
  slope: i32;
  base: i32;
  /** Lowest plausible code, and how far the plausible ones go up from there. */
  lowCode: i32;
  codes: u32;
  value: i32;
}
