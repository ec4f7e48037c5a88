// Has the throttle been seen closed since the controller began to arm? Leaning to "yes": it says "no" only where that surely was not so.
import { surely, TICK_SLACK_US } from "./conditions.ts";
import { isOn, type Raw } from "./raw.ts";
import type { Settings } from "./settings.ts";

const CLOSED_US = 50_000;
/** The self-test shows in the keep-alive so much later than it began. */
const BEGAN_US = 40_000;
const CLOSED_PERMILLE = 200;

/** Follows the throttle of one car. */
export class LiftWatch {
  /** It has surely not been seen closed for long enough. */
  missing = false;
  private readonly settings: Settings;
  private seen = false;
  private closedUs = 0;
  private beforeUs = 0;
  private up = false;

  constructor(settings: Settings) {
    this.settings = settings;
  }

  /** Takes in a tick; `up`: a self-test shows, or what came after it. */
  update(raw: Raw, up: boolean): void {
    if (up && !this.up) this.seen = false;
    if (up && !this.up) this.closedUs = Math.min(this.closedUs, BEGAN_US);
    this.up = up;
    const us = raw.nowUs - this.beforeUs;
    this.beforeUs = raw.nowUs;
    this.closedUs = this.open(raw) ? 0 : this.closedUs + us;
    if (this.closedUs >= CLOSED_US - TICK_SLACK_US) this.seen = true;
    this.missing = !this.seen;
  }

  private open(raw: Raw): boolean {
    const { throttle } = this.settings;
    return (
      (throttle.switch === "yes" && isOn(raw, "throttle")) ||
      surely(raw, this.settings, "throttle", 1, CLOSED_PERMILLE)
    );
  }
}
