// A pulse sender: a square wave whose frequency may change at any time without losing its phase.
import type { VirtualAlarm, VirtualClock } from "../clock.ts";

/** Calls `output` at every edge, half a period high, half a period low. */
export class PulseSender {
  readonly #clock: VirtualClock;
  readonly #output: (level: 0 | 1) => void;
  readonly #alarm: VirtualAlarm;
  #hz = 0;
  /** Phase at `#sinceNs`, in half periods since the last edge: 0 to 1. */
  #phase = 0;
  #sinceNs = 0;
  #level: 0 | 1 = 0;

  constructor(clock: VirtualClock, output: (level: 0 | 1) => void) {
    this.#clock = clock;
    this.#output = output;
    this.#alarm = clock.createAlarm(() => this.#edge());
  }

  get hz(): number {
    return this.#hz;
  }

  /** Changes the frequency, Hz; 0 stops the sender where it is. */
  setHz(hz: number): void {
    const now = this.#clock.nanos;
    this.#phase = Math.min(1, this.#phase + ((now - this.#sinceNs) * 2 * this.#hz) / 1e9);
    this.#sinceNs = now;
    this.#hz = hz;
    if (hz > 0) this.#alarm.schedule(((1 - this.#phase) * 1e9) / (2 * hz));
    else this.#alarm.cancel();
  }

  #edge(): void {
    this.#phase = 0;
    this.#sinceNs = this.#clock.nanos;
    this.#level = this.#level === 1 ? 0 : 1;
    this.#alarm.schedule(1e9 / (2 * this.#hz));
    this.#output(this.#level);
  }
}
