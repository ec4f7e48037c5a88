// What a row of the catalogue of interlocks says to people: its reaction and its longest time in words, for docs and messages alike.
import type { Interlock, Reaction } from "./interlock.ts";

/** What happens, one sentence for each reaction. */
export const REACTIONS: Readonly<Record<Reaction, string>> = {
  off: "everything is switched off at once",
  "hold-off": "nothing flows while the cause lasts; flow may go on after it, and the relay may stay closed",
  trip: "everything is switched off and the master relay opens, until the arm switch is switched off and on again",
  lockout:
    "everything is switched off and the master relay opens, until power is removed; a reset by the watchdog and a restart keep it, and only the RUN pin pulled to ground ends it too (from memory)",
  "cut-back": "the flow falls back to a set share and then climbs the ramp again",
  "cannot-arm": "the controller stays off",
  refused: "the controller refuses the request, and nothing changes",
};

const PLUS: Readonly<Record<NonNullable<Interlock["plus"]>, string>> = {
  "engine-pulse": "the next engine pulse",
  "three-engine-pulses": "the third engine pulse",
  "road-pulse": "the next road pulse",
  "cut-back": "two road pulses and the PWM period under way",
  "lost-engine": "three engine pulse periods, 60 ms at most",
  "four-pulses": "the fourth pulse of more than 6 ms",
  setting: "the time in its setting",
};

/** Longest time to all solenoid pins low: `2 ms`, `10 us after the next engine pulse`. */
export function longestTime({ withinUs, plus }: Interlock): string {
  if (withinUs === undefined) return "nothing can flow";
  const time = withinUs < 1000 ? `${withinUs} us` : `${withinUs / 1000} ms`;
  return plus === undefined ? time : `${time} after ${PLUS[plus]}`;
}
