// The supply behind the relay against the battery, and too much of either: what has surely lasted too long.
import { WATCHDOG_US } from "#shared-schema/model/blocks.ts";
import { TURN_US } from "./conditions.ts";
import { batteryMv, type Raw, supplyMv } from "./raw.ts";

const APART_MV = 2_000;
const HIGH_MV = 16_500;
const HOLDS_US = 50_000;
const TRIPS_US = 500_000;

/** Follows both in front of one core. */
export class SupplyWatch {
  private apartUs = 0;
  private highUs = 0;
  private beforeUs = 0;

  /** Takes in a tick; `armed` is what the core said of itself after the tick before. */
  update(raw: Raw, armed: boolean): void {
    const us = Math.min(raw.nowUs - this.beforeUs, WATCHDOG_US);
    this.beforeUs = raw.nowUs;
    const [battery, supply] = [batteryMv(raw), supplyMv(raw)];
    this.apartUs = armed && Math.abs(battery - supply) > APART_MV ? this.apartUs + us : 0;
    this.highUs = Math.max(battery, supply) > HIGH_MV ? this.highUs + us : 0;
  }

  /** Names of what surely must not be while anything flows. */
  get broken(): string[] {
    return [
      ...(this.apartUs > HOLDS_US + TURN_US ? ["supply off the battery"] : []),
      ...(this.highUs > TURN_US ? ["supply too high"] : []),
    ];
  }

  /** A difference has surely lasted for so long that it must have tripped. */
  get trips(): boolean {
    return this.apartUs > TRIPS_US + TURN_US;
  }
}
