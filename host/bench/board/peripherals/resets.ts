// RESETS: everything starts held in reset, and a held block answers no access.
import { BasePeripheral, type Peripheral, type RP2040 } from "rp2040js";
import { refuse } from "../chip/fault.ts";

const RESET = 0x0;
const WDSEL = 0x4;
const RESET_DONE = 0x8;
const ALL = 0x01ffffff;
/** The boot ROM has released IO_QSPI and PADS_QSPI on its way to the second boot stage. */
const RELEASED_BY_ROM = (1 << 6) | (1 << 9);

/** A block that RESETS holds: where it answers, and what a reset does to it. */
export interface ResettableBlock {
  readonly bit: number;
  readonly name: string;
  /** Key in the chip's map of peripherals. */
  readonly slot: number;
  readonly block: Peripheral;
  readonly reset?: () => void;
  /** A block on clk_peri comes out of reset only once that clock runs. */
  readonly onPeripheralClock?: boolean;
}

class HeldInReset extends BasePeripheral {
  override readUint32(): number {
    refuse(`${this.name} read while it is held in reset`);
  }
  override writeUint32(): void {
    refuse(`${this.name} written while it is held in reset`);
  }
}

/** Puts blocks into the chip's map when they are released, and takes them out again. */
export class Resets extends BasePeripheral {
  readonly #blocks: readonly ResettableBlock[];
  #held = ALL & ~RELEASED_BY_ROM;
  #watchdogSelect = 0;

  constructor(chip: RP2040, blocks: readonly ResettableBlock[]) {
    super(chip, "RESETS");
    this.#blocks = blocks;
    for (const block of blocks) this.#hold(block, (this.#held & (1 << block.bit)) !== 0);
  }

  override readUint32(offset: number): number {
    if (offset === RESET) return this.#held;
    if (offset === WDSEL) return this.#watchdogSelect;
    if (offset === RESET_DONE) return this.#done();
    return super.readUint32(offset);
  }

  override writeUint32(offset: number, value: number): void {
    if (offset === RESET) this.#change(value & ALL);
    else if (offset === WDSEL) this.#watchdogSelect = value & ALL;
    else super.writeUint32(offset, value);
  }

  #done(): number {
    let done = ALL & ~this.#held;
    for (const block of this.#blocks) {
      if (block.onPeripheralClock && !(this.rp2040.clkPeri > 0)) done &= ~(1 << block.bit);
    }
    return done;
  }

  #change(held: number): void {
    const changed = held ^ this.#held;
    this.#held = held;
    for (const block of this.#blocks) {
      const bit = 1 << block.bit;
      if ((changed & bit) !== 0) this.#hold(block, (held & bit) !== 0);
    }
  }

  #hold(block: ResettableBlock, held: boolean): void {
    if (held) block.reset?.();
    this.rp2040.peripherals[block.slot] = held ? new HeldInReset(this.rp2040, block.name) : block.block;
  }
}
