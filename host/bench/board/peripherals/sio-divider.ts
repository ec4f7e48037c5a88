// SIO's integer divider: a division takes eight cycles, and its result must not be fetched before.
import type { RP2040 } from "rp2040js";
import { refuse } from "../chip/fault.ts";

const UDIVIDEND = 0x60;
const SDIVIDEND = 0x68;
const SDIVISOR = 0x6c;
const QUOTIENT = 0x70;
const REMAINDER = 0x74;
/** Cycles from the write of an operand to the result (RP2040 datasheet, SIO, integer divider). */
const DIVISION_CYCLES = 8;

/** Takes the place of the package's divider, whose quotients are no integers. The status register is not modelled. */
export class SioDivider {
  readonly #chip: RP2040;
  #dividend = 0;
  #divisor = 0;
  #signed = false;
  #startNs = 0;

  constructor(chip: RP2040) {
    this.#chip = chip;
  }

  /** True for an offset in SIO that is one of the divider's registers. */
  static has(offset: number): boolean {
    return offset >= UDIVIDEND && offset <= REMAINDER;
  }

  read(offset: number): number {
    if (offset === QUOTIENT || offset === REMAINDER) return this.#result(offset === QUOTIENT) >>> 0;
    return offset === UDIVIDEND || offset === SDIVIDEND ? this.#dividend : this.#divisor;
  }

  write(offset: number, value: number): void {
    if (offset === QUOTIENT || offset === REMAINDER) refuse("a result register of the divider written");
    if (offset === UDIVIDEND || offset === SDIVIDEND) this.#dividend = value;
    else this.#divisor = value;
    this.#signed = offset === SDIVIDEND || offset === SDIVISOR;
    this.#startNs = this.#chip.clock.nanos;
  }

  #result(quotient: boolean): number {
    const cycles = ((this.#chip.clock.nanos - this.#startNs) * this.#chip.clkSys) / 1e9;
    if (cycles < DIVISION_CYCLES) refuse(`divider read after ${cycles} cycles`);
    if (this.#divisor === 0) refuse("division by zero in the divider");
    const dividend = this.#signed ? this.#dividend | 0 : this.#dividend;
    const divisor = this.#signed ? this.#divisor | 0 : this.#divisor;
    return quotient ? Math.trunc(dividend / divisor) : dividend % divisor;
  }
}
