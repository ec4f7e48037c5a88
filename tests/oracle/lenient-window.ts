// A window with its hysteresis, leaning to "inside": it says "outside" only where no rounding of the value could be inside.
import type { Reading } from "./raw.ts";
import type { Limits } from "./settings.ts";

/** Follows one value. `inside` is false only when the window is surely not satisfied. */
export class LenientWindow {
  inside = false;
  private surelyInside = false;
  private surelyLeftAbove = false;
  private readonly limits: Limits;
  private readonly patience: number;
  private outTicks = 0;
  private deepTicks = 0;

  /** A window that is looked at only every so many ticks may miss what lasts shorter: `patience`. */
  constructor(limits: Limits, patience = 1) {
    this.limits = limits;
    this.patience = patience;
  }

  update(reading: Reading): void {
    const { value, rounding } = reading;
    const { open, close, hysteresis } = this.limits;
    const low = value < open - hysteresis - rounding;
    const high = value > close + rounding;
    this.outTicks = low || high ? this.outTicks + 1 : 0;
    this.deepTicks = this.deepInside(reading) ? this.deepTicks + 1 : 0;
    if (this.outTicks > 0 && this.outTicks < this.patience) return;
    if (high && this.surelyInside) this.surelyLeftAbove = true;
    if (low || this.deepInside(reading)) this.surelyLeftAbove = false;
    const entryTop = this.surelyLeftAbove ? close - hysteresis : close;
    if (low || high) this.inside = false;
    else if (value >= open - rounding && value <= entryTop + rounding) this.inside = true;
    this.updateSurely(reading);
  }

  /** From now on it counts as never left, and as inside wherever that may be: what it was before says nothing any more. */
  forgetLeft(): void {
    this.surelyLeftAbove = this.surelyInside = false;
    this.inside = true;
  }

  private deepInside({ value, rounding }: Reading): boolean {
    const { open, close, hysteresis } = this.limits;
    return value >= open + rounding && value <= close - hysteresis - rounding;
  }

  private updateSurely(reading: Reading): void {
    const { value, rounding } = reading;
    const { open, close, hysteresis } = this.limits;
    const mayHaveLeft = value < open - hysteresis + rounding || value > close - rounding;
    this.surelyInside = this.deepTicks >= this.patience || (this.surelyInside && !mayHaveLeft);
  }
}
