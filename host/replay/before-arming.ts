// What a replay does before a run begins: a core that is off, long enough to arm, with the wanted turn in its first tick of arming.

/** Stages and slow sensors take turns, four ticks a round. Which of them had its turn as arming began is not recorded. */
export const TURNS = [0, 1, 2, 3] as const;
export type Turn = (typeof TURNS)[number];

/** The arm switch is seen off for 200 ms, and pulses have come for a while: with the six ticks that it is seen on, whole rounds. */
export const OFF_TICKS = 602;
/** Within so many ticks of the switch arming begins. */
export const MOST_TO_ARM = 20;
