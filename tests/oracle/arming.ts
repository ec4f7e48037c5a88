// When the arm switch allows flow, leaning to "allowed": it says "no" only where the rules of arming surely forbid it.
import { isOn, type Raw } from "./raw.ts";

const SEEN_OFF_US = 200_000;
const STEADY_US = 5_000;
const ARMED_BEFORE_FLOW_US = 50_000;
const NOISE_CUTS_ALLOWED = 3;

/** Self-test or armed or flowing; and armed or flowing: as the core says of itself, or as its pins show. */
export interface Claims {
  readonly up: boolean;
  readonly armed: boolean;
}

/** Follows the arm switch and the counted cuts from the start of the core, and whether it is armed. */
export class Arming {
  /** Has the switch been off for 200 ms in the run of ticks that ends now? It clears a trip. */
  longOff = false;
  /** Raised with every armed period. */
  period = 0;
  private claimedUp = false;
  private claimedArmed = false;
  private mayArmUntilUs = Number.NEGATIVE_INFINITY;
  private readonly laterUs: number;
  /** The self-test was begun as it may be, and nothing has surely ended it or what came after it. */
  private up = false;
  private armedSinceUs = 0;
  private seenOff = false;
  private offSinceUs: number | undefined;
  private steadySinceUs: number | undefined;
  private cuts: number | undefined;
  private noisy = false;
  private noiseCuts = 0;
  private beforeUs = 0;

  /** `laterUs`: the claims show a self-test so much later than it began. */
  constructor(laterUs = 0) {
    this.laterUs = laterUs;
  }

  /** Takes in a tick; `claims` is what held after the tick before. */
  update(raw: Pick<Raw, "nowUs" | "switches" | "armCuts">, claims: Claims): void {
    if (claims.up && !this.claimedUp) this.begin();
    if (!claims.up) this.up = false;
    if (claims.armed && !this.claimedArmed) this.armedSinceUs = this.beforeUs;
    this.claimedUp = claims.up;
    this.claimedArmed = claims.armed;
    const cut = this.cuts !== undefined && raw.armCuts !== this.cuts;
    this.cuts = raw.armCuts;
    if (isOn(raw, "arm")) this.on(raw.nowUs, cut);
    else this.off(raw.nowUs);
    if (this.seenOff && this.steady(raw.nowUs)) this.mayArmUntilUs = raw.nowUs;
    this.beforeUs = raw.nowUs;
  }

  /** Could flow be allowed at `nowUs`, as far as the arm switch goes? */
  allows(nowUs: number): boolean {
    return (
      this.up && this.claimedArmed && this.steady(nowUs) && nowUs - this.armedSinceUs >= ARMED_BEFORE_FLOW_US
    );
  }

  private begin(): void {
    this.up = this.beforeUs - this.mayArmUntilUs <= this.laterUs;
    this.mayArmUntilUs = Number.NEGATIVE_INFINITY;
    this.seenOff = false;
    this.noiseCuts = 0;
    this.period++;
  }

  private steady(nowUs: number): boolean {
    return this.steadySinceUs !== undefined && nowUs - this.steadySinceUs >= STEADY_US;
  }

  private off(nowUs: number): void {
    this.steadySinceUs = undefined;
    this.offSinceUs ??= nowUs;
    const offUs = nowUs - this.offSinceUs;
    this.longOff = offUs >= SEEN_OFF_US;
    this.seenOff ||= this.longOff;
    if (offUs >= STEADY_US) this.up = false;
    this.noise();
  }

  private on(nowUs: number, cut: boolean): void {
    this.offSinceUs = undefined;
    this.longOff = false;
    if (cut) {
      this.steadySinceUs = undefined;
      this.noise();
    }
    this.steadySinceUs ??= nowUs;
    if (this.steady(nowUs)) this.noisy = false;
  }

  private noise(): void {
    if (this.up && !this.noisy && ++this.noiseCuts > NOISE_CUTS_ALLOWED) this.up = false;
    this.noisy = true;
  }
}
