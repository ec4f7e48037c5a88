// One slice of the board's PWM with its two solenoid pins: a period begins at once when a stage begins, pulses change only where a period begins.
import { PWM_STEP_US } from "#shared-schema/model/blocks.ts";

/** A change of a solenoid pin, numbered in pin order. */
export interface PinEdge {
  readonly us: number;
  readonly pin: number;
  readonly level: boolean;
}

const BOTH = [0, 1] as const;

/** Slice of a stage, from 0. Time never goes back. */
export class Slice {
  private readonly stage: number;
  private running = false;
  private beganUs = 0;
  private periodUs = 0;
  /** Widths of the present period and of the next, microseconds, nitrous and fuel. */
  private now: readonly [number, number] = [0, 0];
  private next: readonly [number, number] = [0, 0];
  private readonly levels: [boolean, boolean] = [false, false];
  private edges: PinEdge[] = [];

  constructor(stage: number) {
    this.stage = stage;
  }

  /** Is a pin high? 0 is nitrous, 1 fuel. */
  level(n: 0 | 1): boolean {
    return this.levels[n];
  }

  /** Counter steps since the present period began. */
  phase(us: number): number {
    return this.running ? Math.floor((us - this.beganUs) / PWM_STEP_US) : 0;
  }

  /** Lets time go by until `us`. */
  advance(us: number): void {
    while (this.running) {
      for (const n of BOTH)
        if (this.beganUs + this.now[n] <= us && this.now[n] < this.periodUs)
          this.put(n, false, this.beganUs + this.now[n]);
      if (this.beganUs + this.periodUs > us) return;
      this.begin(this.beganUs + this.periodUs);
    }
  }

  /** What the core commands at `us`: pulses and period in counter steps. */
  command(us: number, runs: boolean, nitrous: number, fuel: number, period: number): void {
    this.next = [nitrous * PWM_STEP_US, fuel * PWM_STEP_US];
    this.periodUs = period * PWM_STEP_US;
    if (!runs) this.stop(us);
    else if (!this.running) {
      this.running = true;
      this.begin(us);
    }
  }

  /** Both pins are low at once. */
  stop(us: number): void {
    this.running = false;
    for (const n of BOTH) this.put(n, false, us);
  }

  /** What the pins did since this was asked last, each pin in order of time. */
  take(): PinEdge[] {
    const { edges } = this;
    if (edges.length > 0) this.edges = [];
    return edges;
  }

  private begin(us: number): void {
    this.beganUs = us;
    this.now = this.next;
    for (const n of BOTH) this.put(n, this.now[n] > 0, us);
  }

  private put(n: 0 | 1, level: boolean, us: number): void {
    if (this.levels[n] === level) return;
    this.levels[n] = level;
    this.edges.push({ us, pin: 2 * this.stage + n, level });
  }
}
