// SSI and flash chip byte by byte, as the real boot ROM works them: plain frames while it holds the select, then the read window.
import { BasePeripheral, type RP2040 } from "rp2040js";
import { hex, refuse } from "#host/bench/board/chip/fault.ts";
import type { XipWindow } from "#host/bench/board/chip/xip.ts";
import { FLASH } from "#shared-schema/model/blocks.ts";

const CTRLR0 = 0x00;
const SSIENR = 0x08;
const BAUDR = 0x14;
const TXFLR = 0x20;
const RXFLR = 0x24;
const SR = 0x28;
const DR0 = 0x60;
const DR_END = 0xec;
const SPI_CTRLR0 = 0xf4;
const SR_TX_FREE = 0x06;
const SR_RX_WAITS = 0x08;
/** Transfer mode in CTRLR0 and the 03h read in SPI_CTRLR0 (RP2040 datasheet, SSI). */
const MODE_BITS = 3 << 8;
const EEPROM_READ = 3 << 8;
const READ_03H = 0x03;

const WRITE_ENABLE = 0x06;
const READ_STATUS = 0x05;
const READ_DATA = 0x03;
const SECTOR_ERASE = 0x20;
const PAGE_PROGRAM = 0x02;
const ADDRESS_END = 4;
const BUSY = 1;
const WRITE_ENABLED = 2;
const HIGH_Z = 0xff;

/** What the ROM had the flash chip do. */
export interface FlashCounts {
  reads: number;
  erases: number;
  programs: number;
}

/** Commands 03h, 05h, 06h, 20h and 02h of the flash chip (W25Q16JV); others are passed over, as with no chip selected. */
export class SerialSsi extends BasePeripheral {
  readonly counts: FlashCounts = { reads: 0, erases: 0, programs: 0 };
  readonly #xip: XipWindow;
  readonly #registers = new Map<number, number>();
  readonly #received: number[] = [];
  #command: number[] = [];
  #selected = false;
  #writeEnabled = false;

  constructor(chip: RP2040, xip: XipWindow) {
    super(chip, "SSI");
    this.#xip = xip;
  }

  /** The select line, which the ROM forces low and high through IO_QSPI. */
  select(low: boolean): void {
    if (low === this.#selected) return;
    this.#selected = low;
    if (!low) this.#end();
    this.#command = [];
  }

  override readUint32(offset: number): number {
    if (offset >= DR0 && offset <= DR_END)
      return this.#received.shift() ?? refuse("SSI read while nothing was received");
    if (offset === TXFLR) return 0;
    if (offset === RXFLR) return this.#received.length;
    if (offset === SR) return SR_TX_FREE | (this.#received.length > 0 ? SR_RX_WAITS : 0);
    return this.#registers.get(offset) ?? 0;
  }

  override writeUint32(offset: number, value: number): void {
    if (offset >= DR0 && offset <= DR_END) this.#received.push(this.#exchange(value & 0xff));
    else this.#registers.set(offset, value >>> 0);
    if (offset === SSIENR) this.#enable((value & 1) !== 0);
  }

  #enable(on: boolean): void {
    this.#received.length = 0;
    const reads = ((this.#registers.get(CTRLR0) ?? 0) & MODE_BITS) === EEPROM_READ;
    if (!on || !reads) {
      this.#xip.close();
      return;
    }
    const format = this.#registers.get(SPI_CTRLR0) ?? 0;
    if (format >>> 24 !== READ_03H) refuse(`read window opened with ${hex(format)}`);
    this.#xip.open(this.#registers.get(BAUDR) ?? 0);
  }

  /** One byte each way. */
  #exchange(byte: number): number {
    if (!this.#selected) return HIGH_Z;
    this.#command.push(byte);
    const [command] = this.#command;
    const { flash } = this.#xip;
    if (command === READ_STATUS) return (flash.busy ? BUSY : 0) | (this.#writeEnabled ? WRITE_ENABLED : 0);
    if (command !== READ_DATA || this.#command.length <= ADDRESS_END || flash.busy) return HIGH_Z;
    const at = this.#address() + this.#command.length - ADDRESS_END - 1;
    return flash.bytes[at % FLASH.bytes]!;
  }

  #address(): number {
    return (this.#command[1]! << 16) | (this.#command[2]! << 8) | this.#command[3]!;
  }

  /** The select rose: what was sent takes effect. */
  #end(): void {
    const [command] = this.#command;
    if (command === READ_DATA) this.counts.reads++;
    if (command === WRITE_ENABLE) this.#writeEnabled = true;
    if (!this.#writeEnabled || this.#command.length < ADDRESS_END) return;
    if (command === SECTOR_ERASE) this.#erase();
    if (command === PAGE_PROGRAM) this.#program();
  }

  #erase(): void {
    this.counts.erases++;
    this.#begin();
    this.#xip.erase(this.#address(), FLASH.sector);
  }

  #program(): void {
    this.counts.programs++;
    this.#begin();
    this.#xip.program(this.#address(), Uint8Array.from(this.#command.slice(ADDRESS_END)));
  }

  #begin(): void {
    this.#writeEnabled = false;
    this.#xip.connect();
    this.#xip.exitXip();
  }
}
