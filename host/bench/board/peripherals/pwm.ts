// PWM: eight slices of two channels, free-running, edges at exact counter steps, compare and top taken over at the wrap.
import { BasePeripheral, type RP2040 } from "rp2040js";
import { refuse } from "../chip/fault.ts";
import { PwmSlice, type PwmSliceHost } from "./pwm-slice.ts";

const SLICE_BYTES = 0x14;
const EN = 0xa0;
const INTR = 0xa4;
const INTE = 0xa8;
const INTF = 0xac;
const INTS = 0xb0;
const IRQ_PWM_WRAP = 4;
const SLICES = 8;

/** Takes the place of the package's PWM; `gpioValue` and `gpioDirection` are what its pins read. */
export class Pwm extends BasePeripheral implements PwmSliceHost {
  gpioValue = 0;
  readonly gpioDirection = 0x3fffffff;
  /** The package walks these when the clock changes; ours keep their own time. */
  readonly channels: readonly never[] = [];
  readonly #slices: readonly PwmSlice[];
  #raw = 0;
  #enabled = 0;
  #forced = 0;

  constructor(chip: RP2040) {
    super(chip, "PWM");
    this.#slices = Array.from({ length: SLICES }, (_, index) => new PwmSlice(this, index, chip.clock));
    chip.addClockListener(() => {
      for (const slice of this.#slices) slice.clockChanged();
    });
  }

  get sysHz(): number {
    return this.rp2040.clkSys;
  }

  reset(): void {
    for (const slice of this.#slices) slice.reset();
    this.#raw = this.#enabled = this.#forced = 0;
    this.#interrupt();
  }

  override readUint32(offset: number): number {
    if (offset < EN) return this.#slices[Math.floor(offset / SLICE_BYTES)]!.read(offset % SLICE_BYTES);
    if (offset === EN) return this.#slices.reduce((bits, slice, i) => bits | (Number(slice.enabled) << i), 0);
    if (offset === INTR) return this.#raw;
    if (offset === INTE) return this.#enabled;
    if (offset === INTF) return this.#forced;
    if (offset === INTS) return (this.#raw & this.#enabled) | this.#forced;
    return super.readUint32(offset);
  }

  override writeUint32(offset: number, value: number): void {
    if (offset < EN) this.#slices[Math.floor(offset / SLICE_BYTES)]!.write(offset % SLICE_BYTES, value);
    else if (offset === EN) this.#writeEnable(value);
    else if (offset === INTR) this.#raw &= ~this.rawWriteValue;
    else if (offset === INTE) this.#enabled = value & 0xff;
    else if (offset === INTF) this.#forced = value & 0xff;
    else super.writeUint32(offset, value);
    if (offset >= INTR) this.#interrupt();
  }

  #writeEnable(value: number): void {
    this.#slices.forEach((slice, index) => {
      slice.setEnabled((value & (1 << index)) !== 0);
    });
  }

  wrapped(index: number): void {
    this.#raw |= 1 << index;
    if ((this.#enabled & (1 << index)) !== 0) this.#interrupt();
  }

  /** Drives both pins of a channel: slice n has pins 2n and 2n + 1, and again 16 above for n < 7. */
  drive(index: number, channel: 0 | 1, level: boolean): void {
    const pin = 2 * index + channel;
    this.#drivePin(pin, level);
    if (pin + 16 < this.rp2040.gpio.length) this.#drivePin(pin + 16, level);
  }

  #drivePin(pin: number, level: boolean): void {
    const bit = 1 << pin;
    const next = level ? this.gpioValue | bit : this.gpioValue & ~bit;
    if (next === this.gpioValue) return;
    this.gpioValue = next;
    this.rp2040.gpio[pin]!.checkForUpdates();
  }

  /** Inputs of PWM slices are not modelled; the package calls this for a pin given to PWM. */
  gpioOnInput(index: number): void {
    refuse(`an input at GP${index}, which belongs to PWM`);
  }

  #interrupt(): void {
    this.rp2040.setInterrupt(IRQ_PWM_WRAP, ((this.#raw & this.#enabled) | this.#forced) !== 0);
  }
}
