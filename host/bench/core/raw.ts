// What the board layer hands to the core before each tick, with times that never wrap.

/** A pulse input: how many, when the last came, and the time between the last two (0 before the second). */
export interface Pulses {
  count: number;
  edgeUs: number;
  periodUs: number;
}

/** The inputs block in unbounded numbers. Times in microseconds, converter codes 0 to 4095. */
export interface Raw {
  nowUs: number;
  switches: number;
  armCuts: number;
  engine: Pulses;
  road: Pulses;
  adcA: number[];
  adcB: number[];
  solenoidPins: number;
  adcMissing: number;
  adcRounds: number;
}
