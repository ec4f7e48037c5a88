// TIMER: microseconds since the tick generator was started, four alarms that fire only on equality.
import { BasePeripheral, type RP2040 } from "rp2040js";
import { refuse } from "../chip/fault.ts";

const TIMEHR = 0x08;
const TIMELR = 0x0c;
const ALARM0 = 0x10;
const ALARM3 = 0x1c;
const ARMED = 0x20;
const TIMERAWH = 0x24;
const TIMERAWL = 0x28;
const DBGPAUSE = 0x2c;
const INTR = 0x34;
const INTE = 0x38;
const INTF = 0x3c;
const INTS = 0x40;
const ALARMS = 4;
const TICK_HZ = 1e6;
const WRAP = 2 ** 32;

/** An alarm set to the present or a past microsecond waits 71.6 minutes for the counter to come round, as on silicon. */
export class Timer extends BasePeripheral {
  readonly #clockAlarms: ReturnType<RP2040["clock"]["createAlarm"]>[];
  readonly #targets = new Uint32Array(ALARMS);
  readonly #startUs: number;
  #zeroNs = Number.NaN;
  #tickHz = 0;
  #armed = 0;
  #latchedHigh = 0;
  #pause = 7;
  #raw = 0;
  #enabled = 0;
  #forced = 0;

  /** `startUs`: what the counter reads when it starts; a chip starts at 0. */
  constructor(chip: RP2040, startUs: number) {
    super(chip, "TIMER");
    this.#startUs = startUs;
    this.#clockAlarms = Array.from({ length: ALARMS }, (_, i) => chip.clock.createAlarm(() => this.#fire(i)));
  }

  /** The watchdog's tick generator runs at that rate from now on. Time counts from its first microsecond. */
  tickChanged(hz: number): void {
    this.#tickHz = hz;
    if (hz === TICK_HZ && Number.isNaN(this.#zeroNs))
      this.#zeroNs = this.rp2040.clock.nanos - this.#startUs * 1000;
  }

  reset(): void {
    for (const alarm of this.#clockAlarms) alarm.cancel();
    this.#armed = this.#raw = this.#enabled = this.#forced = 0;
    if (!Number.isNaN(this.#zeroNs)) this.#zeroNs = this.rp2040.clock.nanos - this.#startUs * 1000;
  }

  #now(): number {
    if (this.#tickHz === 0) refuse("TIMER used before the watchdog's tick was started");
    if (this.#tickHz !== TICK_HZ) refuse(`TIMER used with a tick of ${this.#tickHz} Hz, not 1 MHz`);
    return Math.floor((this.rp2040.clock.nanos - this.#zeroNs) / 1000);
  }

  override readUint32(offset: number): number {
    if (offset >= ALARM0 && offset <= ALARM3) return this.#targets[(offset - ALARM0) >> 2]!;
    switch (offset) {
      case TIMERAWL:
        return this.#now() % WRAP;
      case TIMERAWH:
        return Math.floor(this.#now() / WRAP);
      case TIMELR:
        this.#latchedHigh = Math.floor(this.#now() / WRAP);
        return this.#now() % WRAP;
      case TIMEHR:
        return this.#latchedHigh;
      case ARMED:
        return this.#armed;
      case DBGPAUSE:
        return this.#pause;
      case INTR:
        return this.#raw;
      case INTE:
        return this.#enabled;
      case INTF:
        return this.#forced;
      case INTS:
        return (this.#raw & this.#enabled) | this.#forced;
    }
    return super.readUint32(offset);
  }

  override writeUint32(offset: number, value: number): void {
    if (offset >= ALARM0 && offset <= ALARM3) this.#arm((offset - ALARM0) >> 2, value >>> 0);
    else if (offset === ARMED) this.#disarm(this.rawWriteValue);
    else if (offset === DBGPAUSE) this.#pause = value & 7;
    else if (offset === INTR) this.#raw &= ~this.rawWriteValue;
    else if (offset === INTE) this.#enabled = value & 0xf;
    else if (offset === INTF) this.#forced = value & 0xf;
    else super.writeUint32(offset, value);
    if (offset >= INTR) this.#interrupt();
  }

  #arm(index: number, target: number): void {
    const now = this.#now();
    const waitUs = (target - (now % WRAP) + WRAP) % WRAP || WRAP;
    this.#targets[index] = target;
    this.#armed |= 1 << index;
    this.#clockAlarms[index]!.schedule((now + waitUs) * 1000 + this.#zeroNs - this.rp2040.clock.nanos);
  }

  #disarm(bits: number): void {
    this.#clockAlarms.forEach((alarm, index) => {
      if ((bits & (1 << index)) !== 0) alarm.cancel();
    });
    this.#armed &= ~bits;
  }

  #fire(index: number): void {
    this.#armed &= ~(1 << index);
    this.#raw |= 1 << index;
    this.#interrupt();
  }

  #interrupt(): void {
    const status = (this.#raw & this.#enabled) | this.#forced;
    for (let index = 0; index < ALARMS; index++) {
      this.rp2040.setInterrupt(index, (status & (1 << index)) !== 0);
    }
  }
}
