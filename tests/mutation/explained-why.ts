// What an explained survivor is, and the reasons that several have.

/** A survivor and the reason. `source` is the beginning of what is wrong; `what` left out stands for every mistake there. */
export interface Explained {
  readonly file: string;
  readonly where: string;
  readonly source: string;
  /** Only this one of those that are alike in their function (see schemata.ts); `source` is then the whole of it. */
  readonly nth?: number;
  readonly what?: readonly string[];
  readonly why: string;
}

export const SHORTCUT = "saves cycles only: the way round it comes to the same";
export const GUARD = "traps only when a class or the program outgrows its room, which none does";
export const FRESH =
  "the core's memory is all zero when it starts here; on the chip the start-up code clears it as well";
export const CONTINUOUS = "the two sides of the comparison agree where they meet";
export const NOT_FITTED = "what is not fitted has zero for value and limit, and zero is not past zero";
export const NO_MORE = "there are no more of them: the bit behind the last is never set";
export const ONE_ROUND =
  "one round of turns, 4 ms, at a limit in time that is given in whole tenths of a second";
export const TWICE = "a second check in the same tick says the same";

export const ITS_OWN_VALUE = "the setting does not say to which side its own value belongs";
export const BYTES = "costs bytes only: the reader takes what is there";
export const NOT_CONFIGURED =
  "a stage that is not configured has neither ramps nor solenoids: its turn drives nothing";
export const SAME_BOUNDS = "bounds worked out once more are the same";
export const FULL_TIME = "before a launch the time is full, and full time stays full";
export const GEAR_EDGE = "an eighth of a unit of the ratio, at one end of its tolerance";
export const NUMBER_0 = "the number of ARM is 0: shifted by nothing, either way";
export const CHANNEL_0 = "the throttle is channel 0: shifted by nothing, either way";
