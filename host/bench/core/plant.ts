// The plant behind a core rig: battery, master relay, solenoid drivers and live converters, so that its self-test can pass.

import { OUTPUT_BITS, PWM_STEP_US, SUPPLY_MV_PER_CODE, TICK_US } from "#shared-schema/model/blocks.ts";
import { ADC_A } from "#shared-schema/model/pins.ts";
import type { CoreRig } from "./rig.ts";

const BATTERY = ADC_A.indexOf("battery");
const SUPPLY = ADC_A.indexOf("driverSupply");
/** The relay follows the keep-alive after so many ticks. */
const RELAY_TICKS = 12;
const SOLENOIDS = 8;
const STAGES = 4;

/** Keeps the converters' codes true to what the core commands. Call `step` before every tick. */
export class Plant {
  batteryMv = 13_800;
  /** Faults: the contact never opens, or never closes. */
  relay: "sound" | "welded" | "dead" = "sound";
  private readonly rig: CoreRig;
  private closed = false;
  private ticks = 0;
  private rounds = 0;
  private steps = 0;

  constructor(rig: CoreRig) {
    this.rig = rig;
  }

  private follow(): void {
    const up = (this.rig.outputs.get("flags") & (1 << OUTPUT_BITS.keepAlive)) !== 0;
    this.ticks = up === this.closed ? 0 : this.ticks + 1;
    if (this.ticks >= RELAY_TICKS) this.closed = up;
  }

  private get supplyMv(): number {
    if (this.relay === "welded") return this.batteryMv;
    return this.closed && this.relay === "sound" ? this.batteryMv : 0;
  }

  /** Passes one tick: relay, supply, drains (a pin counts as high for any pulse above 0), a finished ADC round. */
  step(): void {
    this.follow();
    const { inputs, outputs } = this.rig;
    inputs.set("adcA", Math.round(this.batteryMv / SUPPLY_MV_PER_CODE), BATTERY);
    inputs.set("adcA", Math.round(this.supplyMv / SUPPLY_MV_PER_CODE), SUPPLY);
    const gaps = outputs.get("gaps");
    let pins = 0;
    for (let n = 0; n < SOLENOIDS; n++) {
      const high = outputs.get("pulse", n) > 0 && ((gaps >> n) & 1) === 0;
      if (high) pins |= 1 << n;
      inputs.set("adcB", high ? 20 : Math.round(this.supplyMv / SUPPLY_MV_PER_CODE), n);
    }
    inputs.set("solenoidPins", pins);
    this.steps = (this.steps + TICK_US / PWM_STEP_US) % (outputs.get("top") + 1);
    for (let s = 0; s < STAGES; s++) inputs.set("phase", this.steps, s);
    this.rounds = (this.rounds + 1) & 0xffff;
    inputs.set("adcRounds", this.rounds);
  }
}
