// The time slip: when the car passed each mark, counted from the moment at which it began to move.
import type { Motion } from "#host/car/motion.ts";
import { EIGHTH_MILE_M, QUARTER_MILE_M } from "#host/car/quarter-mile.ts";

const SIXTY_FEET_M = 18.288;

/** Time since the start, s, and speed, m/s, at a mark. */
export interface Passage {
  readonly timeS: number;
  readonly speedMS: number;
}

/** What a time slip shows; a mark that was not reached is left out. */
export interface TimeSlip {
  readonly sixtyFeet?: Passage;
  readonly eighth?: Passage;
  readonly quarter?: Passage;
}

/** Marks and their distances, m. */
const MARKS = [
  ["sixtyFeet", SIXTY_FEET_M],
  ["eighth", EIGHTH_MILE_M],
  ["quarter", QUARTER_MILE_M],
] as const;

/** Follows a car; call `look` after every step. */
export class SlipTimer {
  /** Time of the motion, s, at which the car began to move; undefined before. */
  startS: number | undefined;
  slip: TimeSlip = {};
  private next = 0;
  private beforeM = 0;
  private beforeMS = 0;

  /** `dtS`: the length of the step. */
  look(motion: Motion, dtS: number): void {
    if (this.startS === undefined && motion.distanceM > 0) this.startS = motion.timeS - dtS;
    for (let mark = MARKS[this.next]; mark && motion.distanceM >= mark[1]; mark = MARKS[++this.next])
      this.pass(mark[0], mark[1], motion, dtS);
    this.beforeM = motion.distanceM;
    this.beforeMS = motion.speedMS;
  }

  private pass(name: keyof TimeSlip, atM: number, motion: Motion, dtS: number): void {
    const part = (atM - this.beforeM) / (motion.distanceM - this.beforeM);
    const timeS = motion.timeS - dtS * (1 - part) - this.startS!;
    const speedMS = this.beforeMS + part * (motion.speedMS - this.beforeMS);
    this.slip = { ...this.slip, [name]: { timeS, speedMS } };
  }
}
