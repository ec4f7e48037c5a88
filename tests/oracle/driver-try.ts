// The one exception to "armed before a pin is high": in the test at arming each driver conducts for a moment, one at a time.
import { PWM_STEP_US } from "#shared-schema/model/blocks.ts";
import type { Claims } from "./arming.ts";
import type { Settings } from "./settings.ts";

/** The longest moment that any settings allow, counter steps: half a millisecond. */
export const MOST_STEPS = 500 / PWM_STEP_US;
/** A driver that failed may be tried again, twice. */
const MOST_TRIES = 3;

const NOTHING: readonly number[] = new Array(8).fill(0);

/** Is one pin alone high, no longer than a valve of any kind takes to notice? */
export function looksLikeTry(pulse: readonly number[]): boolean {
  const driven = pulse.filter((width) => width > 0);
  return driven.length === 1 && driven[0]! <= MOST_STEPS;
}

/** Counts the tries of each arming, and says what is left of the pulses when a lawful try is taken out. */
export class DriverTries {
  private readonly longestSteps: number;
  private readonly counts = new Array<number>(8).fill(0);
  private arming = false;

  constructor({ stages }: Settings) {
    const openings = stages.flatMap(({ nitrousSolenoid, fuelSolenoid }) =>
      [nitrousSolenoid, fuelSolenoid].flatMap((s) =>
        s ? [s.opening10VUs, s.opening12VUs, s.opening14VUs] : [],
      ),
    );
    this.longestSteps = Math.min(MOST_STEPS, Math.min(...openings) / 3 / PWM_STEP_US);
  }

  /**
   * Takes in a tick; a try that is too long, too many, of two pins, outside arming, or that no live converter sees stays in
   * the pulses.
   */
  rest(pulse: readonly number[], { up, armed }: Claims, unseen: boolean): readonly number[] {
    const arming = up && !armed;
    if (arming && !this.arming) this.counts.fill(0);
    this.arming = arming;
    const pin = pulse.findIndex((width) => width > 0);
    if (!arming || unseen || pin < 0 || !looksLikeTry(pulse) || pulse[pin]! > this.longestSteps) return pulse;
    this.counts[pin]!++;
    return this.counts[pin]! <= MOST_TRIES ? NOTHING : pulse;
  }
}
