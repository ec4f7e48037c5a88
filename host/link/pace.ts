// How long to wait for one answer: the time on the wire, plus an allowance for the controller that adapts to measured round trips.

/** Bits for one byte at 8N1: start, eight, stop. */
const BITS_PER_BYTE = 10;
const FIRST_GUESS_MS = 120;
const LEAST_MS = 25;
const MOST_MS = 250;
/** A line without a speed of its own is assumed to be at least this fast. */
const UNKNOWN_BAUD = 115_200;

/** Waiting times of one connection. */
export class Pace {
  private turnaroundMs: number | undefined;

  /** Milliseconds that this many bytes take on the wire. */
  static wireMs(bytes: number, baud: number | undefined): number {
    return (bytes * BITS_PER_BYTE * 1000) / (baud ?? UNKNOWN_BAUD);
  }

  /** How long to wait for the answer to attempt number `attempt`, counted from 0, of a request. */
  waitMs(attempt: number, wireMs: number): number {
    if (this.turnaroundMs === undefined) return wireMs + FIRST_GUESS_MS;
    const calm = Math.max(LEAST_MS, 4 * this.turnaroundMs);
    return wireMs + Math.min(MOST_MS, calm * 2 ** Math.min(2, Math.floor(attempt / 3)));
  }

  /** Notes that an answer came `ms` after its request was last handed to the line. */
  learn(ms: number): void {
    this.turnaroundMs = this.turnaroundMs === undefined ? ms : 0.8 * this.turnaroundMs + 0.2 * ms;
  }
}
