// The crystal: it takes its time to be steady, or never is, and swings on through a reset by the watchdog.
import type { VirtualClock } from "../clock.ts";

/** Frequency, Hz. */
export const CRYSTAL_HZ = 12e6;

/** One crystal with its oscillator, which only the loss of supply stops. */
export class Crystal {
  readonly #clock: VirtualClock;
  readonly #steadyNs: number;
  #onNs = Number.POSITIVE_INFINITY;

  /** `steadyNs`: from the oscillator's enable until the crystal may be relied on; infinite for a broken one. */
  constructor(clock: VirtualClock, steadyNs: number) {
    this.#clock = clock;
    this.#steadyNs = steadyNs;
  }

  /** Does it give a clock, however unsteady? */
  get swings(): boolean {
    return this.#steadyNs !== Number.POSITIVE_INFINITY;
  }

  /** Virtual time at which the oscillator was enabled, ns; infinite while it is off. */
  get onNs(): number {
    return this.#onNs;
  }

  /** Since the enable, ns; negative while it is off. */
  get runningNs(): number {
    return this.#clock.nanos - this.#onNs;
  }

  get steady(): boolean {
    return this.runningNs >= this.#steadyNs;
  }

  enable(): void {
    if (this.#onNs === Number.POSITIVE_INFINITY) this.#onNs = this.#clock.nanos;
  }

  /** The oscillator was disabled, or the supply failed. */
  stop(): void {
    this.#onNs = Number.POSITIVE_INFINITY;
  }
}
