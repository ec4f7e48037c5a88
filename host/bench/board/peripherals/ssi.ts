// SSI, the serial interface to the flash: only the set-up for plain 03h reads that the second boot stage makes.
import { BasePeripheral, type RP2040 } from "rp2040js";
import { hex, refuse } from "../chip/fault.ts";
import type { XipWindow } from "../chip/xip.ts";

const CTRLR0 = 0x00;
const CTRLR1 = 0x04;
const SSIENR = 0x08;
const BAUDR = 0x14;
const SR = 0x28;
const RX_SAMPLE_DLY = 0xf0;
const SPI_CTRLR0 = 0xf4;
const SR_TFE_TFNF = 0x06;
/** 32-bit frames, EEPROM-read mode, one data line. */
const READ_CTRLR0 = (31 << 16) | (3 << 8);
/** Command 03h, 8 instruction bits, 24 address bits. */
const READ_SPI_CTRLR0 = 0x03000000 | (2 << 8) | (6 << 2);

/** Fastest clock at which the flash answers a plain read, Hz (03h of a W25Q16JV; from memory, unverified). */
const READ_HZ = 50e6;

/** Enabled with the plain-read set-up it opens the flash window; with any other it is refused. */
export class Ssi extends BasePeripheral {
  readonly #xip: XipWindow;
  readonly #registers = new Map<number, number>([
    [CTRLR0, 0],
    [CTRLR1, 0],
    [SSIENR, 0],
    [BAUDR, 0],
    [RX_SAMPLE_DLY, 0],
    [SPI_CTRLR0, 0],
  ]);

  constructor(chip: RP2040, xip: XipWindow) {
    super(chip, "SSI");
    this.#xip = xip;
    chip.addClockListener(() => this.#checkSpeed());
  }

  override readUint32(offset: number): number {
    if (offset === SR) return SR_TFE_TFNF;
    return this.#registers.get(offset) ?? super.readUint32(offset);
  }

  override writeUint32(offset: number, value: number): void {
    if (!this.#registers.has(offset)) super.writeUint32(offset, value);
    if (offset !== SSIENR && this.#registers.get(SSIENR) === 1) {
      refuse(`SSI register 0x${offset.toString(16)} written while the interface is enabled`);
    }
    this.#registers.set(offset, value >>> 0);
    if (offset === SSIENR) this.#enable(value);
  }

  #enable(value: number): void {
    if ((value & 1) === 0) this.#xip.close();
    else this.#open();
  }

  #open(): void {
    const baud = this.#registers.get(BAUDR)!;
    const control = this.#registers.get(CTRLR0)!;
    const spi = this.#registers.get(SPI_CTRLR0)!;
    if (baud < 2 || baud % 2 !== 0) refuse(`SSI divider ${baud} is not an even number`);
    if (control !== READ_CTRLR0 || spi !== READ_SPI_CTRLR0) {
      refuse(`SSI set up with ${hex(control)} and ${hex(spi)}, which is not a plain 03h read`);
    }
    this.#xip.open(baud);
    this.#checkSpeed();
  }

  /** Too fast a clock reads wrong bits on silicon. */
  #checkSpeed(): void {
    if (this.#registers.get(SSIENR) !== 1) return;
    const hz = this.rp2040.clkSys / this.#registers.get(BAUDR)!;
    if (hz > READ_HZ)
      refuse(`flash clocked with ${hz / 1e6} MHz: a plain read takes ${READ_HZ / 1e6} MHz at most`);
  }
}
