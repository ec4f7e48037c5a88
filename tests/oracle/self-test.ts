// The oracle's own idea of armed, from the keep-alive pin and the supply behind the relay alone; it leans to "armed".
import { SUPPLY_MV_PER_CODE } from "#shared-schema/model/blocks.ts";
import { ADC_A } from "#shared-schema/model/pins.ts";
import type { Claims } from "./arming.ts";
import { batteryMv, type Raw } from "./raw.ts";

/** Below this there is no supply behind the relay, and one code more. */
const NO_SUPPLY_MV = 2_000 + SUPPLY_MV_PER_CODE;
/** A stop of the keep-alive for longer is no step of a test. */
const LONGEST_STOP_US = 100_000;
/** So long after it was armed it may be stopped only for good. */
const TEST_OVER_US = 50_000;

/** Voltage behind the relay, millivolts. */
export function supplyMv(raw: Pick<Raw, "adcA">): number {
  return raw.adcA[ADC_A.indexOf("driverSupply")]! * SUPPLY_MV_PER_CODE;
}

/** Follows the keep-alive: no supply before it, supply with it, none when it is stopped, and supply again. */
export class SelfTest implements Claims {
  /** A test was begun with the relay open, or what it began still holds. */
  up = false;
  /** Both ways of the relay were seen, and the supply is there. */
  armed = false;
  private readonly stopsNeeded: number;
  private keepAlive = false;
  private stops = 0;
  private supplied = false;
  private gone = false;
  private offUs = 0;
  private armedUs = 0;

  /** `stopsNeeded`: how often the keep-alive is stopped in a test. */
  constructor(stopsNeeded: number) {
    this.stopsNeeded = stopsNeeded;
  }

  /** Takes in `us` under what the tick before commanded, and what the converters show at its end. */
  update(raw: Raw, us: number, keepAlive: boolean): void {
    if (keepAlive && !this.keepAlive) this.rise();
    this.keepAlive = keepAlive;
    if (keepAlive) this.on(raw, us);
    else this.off(raw, us);
  }

  /** For how long it has surely been armed, microseconds. */
  get armedForUs(): number {
    return this.armed ? this.armedUs : 0;
  }

  private rise(): void {
    if (this.up) this.stops += this.supplied && this.gone ? 1 : 0;
    else {
      this.up = this.gone;
      this.stops = 0;
    }
    this.supplied = false;
  }

  private on(raw: Raw, us: number): void {
    this.supplied ||= supplyMv(raw) > batteryMv(raw) / 2 - SUPPLY_MV_PER_CODE;
    this.gone = false;
    this.offUs = 0;
    if (this.armed) this.armedUs += us;
    this.armed = this.up && this.supplied && this.stops >= this.stopsNeeded;
  }

  private off(raw: Raw, us: number): void {
    this.gone = supplyMv(raw) < NO_SUPPLY_MV;
    this.offUs += us;
    if (this.armedForUs > TEST_OVER_US || this.offUs > LONGEST_STOP_US) this.up = false;
    this.armed = false;
    this.armedUs = 0;
  }
}
