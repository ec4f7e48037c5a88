// WATCHDOG: tick generator, scratch registers and the bite. The counter falls by two a tick (erratum RP2040-E1).
import { BasePeripheral, type RP2040 } from "rp2040js";
import { hex, refuse } from "../chip/fault.ts";

const CTRL = 0x00;
const LOAD = 0x04;
const REASON = 0x08;
const SCRATCH0 = 0x0c;
const SCRATCH7 = 0x28;
const TICK = 0x2c;
const CTRL_TRIGGER = 0x80000000;
const CTRL_ENABLE = 0x40000000;
const CTRL_PAUSE = 0x07000000;
const COUNT_MASK = 0xffffff;
const TICK_ENABLE = 1 << 9;
const TICK_RUNNING = 1 << 10;
const TICK_CYCLES = 0x1ff;
const COUNTS_PER_TICK = 2;
/** SCRATCH4 value that makes the boot ROM jump to SCRATCH6 and 7 instead of starting the image. */
const ROM_JUMP_MAGIC = 0xb007c0d3;

/** Why the watchdog reset the chip, as its REASON register tells: 1 the counter ran out, 2 the program asked for it. */
export type WatchdogReason = 1 | 2;

/** What the watchdog hands over to the chip that follows a reset. */
export interface WatchdogLegacy {
  readonly reason: WatchdogReason | 0;
  readonly scratch: Uint32Array;
}

/** The bite is reported once, through `onBite`. */
export class Watchdog extends BasePeripheral {
  readonly scratch = new Uint32Array(8);
  readonly #reason: number;
  readonly #alarm: ReturnType<RP2040["clock"]["createAlarm"]>;
  readonly #onBite: (reason: WatchdogReason) => void;
  readonly #onTick: (hz: number) => void;
  #enabled = false;
  #pause = CTRL_PAUSE;
  #tick = 0;
  /** Ticks a second; the ring oscillator makes others than the crystal. 0 while they do not run. */
  #tickHz = 0;
  #count = 0;
  #sinceNs = 0;

  constructor(
    chip: RP2040,
    legacy: WatchdogLegacy,
    onBite: (reason: WatchdogReason) => void,
    onTick: (hz: number) => void,
  ) {
    super(chip, "WATCHDOG");
    this.scratch.set(legacy.scratch);
    this.#reason = legacy.reason;
    this.#onBite = onBite;
    this.#onTick = onTick;
    this.#alarm = chip.clock.createAlarm(() => this.#bite(1));
  }

  override readUint32(offset: number): number {
    if (offset >= SCRATCH0 && offset <= SCRATCH7) return this.scratch[(offset - SCRATCH0) >> 2]!;
    switch (offset) {
      case CTRL:
        return (this.#enabled ? CTRL_ENABLE : 0) | this.#pause | this.#remaining();
      case REASON:
        return this.#reason;
      case TICK:
        return this.#tick | ((this.#tick & TICK_ENABLE) !== 0 ? TICK_RUNNING : 0);
    }
    return super.readUint32(offset);
  }

  override writeUint32(offset: number, value: number): void {
    if (offset >= SCRATCH0 && offset <= SCRATCH7) this.scratch[(offset - SCRATCH0) >> 2] = value;
    else if (offset === CTRL) this.#writeCtrl(value);
    else if (offset === LOAD) this.#load(value & COUNT_MASK);
    else if (offset === TICK) this.#writeTick(value);
    else super.writeUint32(offset, value);
  }

  #writeCtrl(value: number): void {
    this.#pause = value & CTRL_PAUSE;
    const on = (value & CTRL_ENABLE) !== 0;
    if (on !== this.#enabled) {
      this.#count = this.#remaining();
      this.#enabled = on;
      this.#run();
    }
    if ((value & CTRL_TRIGGER) !== 0) this.#bite(2);
  }

  #load(count: number): void {
    this.#count = count;
    this.#run();
  }

  #writeTick(value: number): void {
    this.#tick = value & (TICK_ENABLE | TICK_CYCLES);
    this.clockChanged();
  }

  /** clk_ref has changed, and with it the tick. */
  clockChanged(): void {
    const left = this.#remaining();
    this.#tickHz =
      (this.#tick & TICK_ENABLE) === 0 ? 0 : this.rp2040.clocks.refFreq / (this.#tick & TICK_CYCLES);
    this.#count = left;
    this.#onTick(this.#tickHz);
    this.#run();
  }

  #run(): void {
    this.#sinceNs = this.rp2040.clock.nanos;
    if (!this.#enabled) {
      this.#alarm.cancel();
      return;
    }
    if (this.#tickHz === 0) refuse("watchdog enabled while its tick does not run");
    this.#alarm.schedule((this.#count / COUNTS_PER_TICK / this.#tickHz) * 1e9);
  }

  #remaining(): number {
    if (!this.#enabled) return this.#count;
    const ticks = Math.floor(((this.rp2040.clock.nanos - this.#sinceNs) * this.#tickHz) / 1e9 + 1e-6);
    return Math.max(0, this.#count - COUNTS_PER_TICK * ticks);
  }

  #bite(reason: WatchdogReason): void {
    this.#enabled = false;
    this.#alarm.cancel();
    if (this.scratch[4] === ROM_JUMP_MAGIC) {
      refuse(`reset with SCRATCH4 = ${hex(ROM_JUMP_MAGIC)}: the boot ROM would not start the image`);
    }
    this.#onBite(reason);
  }
}
