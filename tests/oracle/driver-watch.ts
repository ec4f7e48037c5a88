// Drivers that surely do not do what their pins say: their drains against the pins, sample by sample.
import { SUPPLY_MV_PER_CODE } from "#shared-schema/model/blocks.ts";
import type { Raw } from "./raw.ts";
import { supplyMv } from "./self-test.ts";
import type { Settings } from "./settings.ts";

/** With less behind the relay a drain says nothing for sure. */
const SUPPLIED_MV = 8_000;
/** What pulls less than this up is no load; what conducts stays far below. */
const LOADED_MV = 4_500;
/** The catalogue's time of showing, and the ticks that this is at least. */
const SHOWS_US = 20_000;
const SHOWS_TICKS = 8;

/** What one channel has shown while its pin was at one level, since it last agreed at that level. */
interface Showing {
  us: number;
  ticks: number;
}

interface Channel {
  readonly number: number;
  readonly at: readonly [Showing, Showing];
}

/** Solenoid pins that the settings use, by number. */
function used({ stages }: Settings): number[] {
  return stages.flatMap(({ kind }, s) => (kind === "wet" ? [2 * s, 2 * s + 1] : [2 * s]));
}

/** Follows the drivers of one core while it is armed. */
export class DriverWatch {
  /** Has a driver surely disagreed for too long? */
  broken = false;
  private readonly channels: readonly Channel[];
  private pinsBefore = 0;

  constructor(settings: Settings) {
    const showing = (): Showing => ({ us: 0, ticks: 0 });
    this.channels = used(settings).map((number) => ({ number, at: [showing(), showing()] }));
  }

  /** Takes in a tick. A pin that has just moved, or a supply that is not there, says nothing. */
  update({ raw, us, armed, believed }: { raw: Raw; us: number; armed: boolean; believed: boolean }): void {
    const usable = armed && believed && supplyMv(raw) > SUPPLIED_MV;
    const moved = this.pinsBefore ^ raw.solenoidPins;
    this.pinsBefore = raw.solenoidPins;
    for (const { number, at } of this.channels) {
      if (!usable) for (const showing of at) showing.us = showing.ticks = 0;
      else if (!((moved >> number) & 1)) this.sample(raw, number, at[(raw.solenoidPins >> number) & 1]!, us);
    }
  }

  private sample(raw: Raw, number: number, showing: Showing, us: number): void {
    if (disagrees(raw, number)) {
      showing.us += us;
      showing.ticks++;
    } else showing.us = showing.ticks = 0;
    this.broken ||= showing.us > SHOWS_US && showing.ticks > SHOWS_TICKS;
  }
}

function disagrees(raw: Raw, number: number): boolean {
  const mv = raw.adcB[number]! * SUPPLY_MV_PER_CODE;
  const high = ((raw.solenoidPins >> number) & 1) === 1;
  return high ? mv > LOADED_MV + 2 * SUPPLY_MV_PER_CODE : mv < LOADED_MV - 2 * SUPPLY_MV_PER_CODE;
}
