// What the core knows of one train of pulses.

/** One train of pulses. */
export class Shaft {
  ageUs: u32;
  pulses: u32;
  /** 0 to 2: a period is believed only between two fresh pulses. */
  trust: u32;
  speed: u32;
  /** Speed by the period of the last pulse alone. */
  pulseSpeed: u32;
  /** Speed x microseconds of a period, from the settings. */
  factor: u32;
  /** At the last pulse that was judged: its time and speed, and how often in a row the speed moved too fast. */
  judgedUs: u32;
  judgedSpeed: u32;
  tooFast: u32;
  /** Pulses in a row that moved as a shaft can, up to a full row: then what they say is confirmed (see speed.ts). */
  evenPulses: u32;
  /** The speed that is believed in the place of the misread one; misread is 0 while there is no doubt. */
  believedSpeed: u32;
  misreadSpeed: u32;
  /** For how long every move has been too fast, up to the longest time that counts. */
  strayUs: u32;
}
