// The memory map as the core sees it: SRAM fast, everything else checked; what is not mapped, aligned or readable is a fault.
import type { RP2040 } from "rp2040js";
import { SioDivider } from "../peripherals/sio-divider.ts";
import { hardFault, hex, refuse } from "./fault.ts";
import { ROM_BYTES, ROM_FIRST_READABLE } from "./rom.ts";
import type { XipWindow } from "./xip.ts";

const XIP_BASE = 0x10000000;
const XIP_END = 0x14000000;
/** Aliases with this bit go past the cache (RP2040 datasheet, XIP). */
const XIP_NOCACHE = 0x02000000;
const SRAM_BASE = 0x20000000;
const SIO_BASE = 0xd0000000;
const PPB_PAGE = 0xe000e;

/** SIO registers that the emulated board models: CPUID, GPIO_IN, GPIO_OUT and GPIO_OE with their aliases, spinlocks. */
function sioKnown(offset: number): boolean {
  return offset <= 0x04 || (offset >= 0x10 && offset <= 0x2c) || (offset >= 0x100 && offset <= 0x17c);
}

/** Takes over the core's reads and writes. Registers are reached with whole aligned words only. */
export class StrictBus {
  readonly #chip: RP2040;
  readonly #xip: XipWindow;
  readonly #divider: SioDivider;
  readonly #sram8: Uint8Array;
  readonly #sram16: Uint16Array;
  readonly #sram32: Uint32Array;

  constructor(chip: RP2040, xip: XipWindow) {
    this.#chip = chip;
    this.#xip = xip;
    this.#divider = new SioDivider(chip);
    this.#sram8 = chip.sram;
    this.#sram16 = new Uint16Array(chip.sram.buffer, 0, chip.sram.length / 2);
    this.#sram32 = new Uint32Array(chip.sram.buffer, 0, chip.sram.length / 4);
    this.#takeOver();
  }

  #takeOver(): void {
    const { core } = this.#chip;
    core.readUint32 = (address) => this.read32(address);
    core.readUint16 = (address) => this.read16(address);
    core.readUint8 = (address) => this.read8(address);
    core.writeUint32 = (address, value) => this.write32(address, value);
    core.writeUint16 = (address, value) => this.write16(address, value);
    core.writeUint8 = (address, value) => this.write8(address, value);
  }

  read32(address: number): number {
    const offset = (address - SRAM_BASE) >>> 0;
    if (offset < this.#sram8.length && (offset & 3) === 0) return this.#sram32[offset >> 2]!;
    return this.#readSlow(address >>> 0, 4);
  }

  read16(address: number): number {
    const offset = (address - SRAM_BASE) >>> 0;
    if (offset < this.#sram8.length && (offset & 1) === 0) return this.#sram16[offset >> 1]!;
    return this.#readSlow(address >>> 0, 2);
  }

  read8(address: number): number {
    const offset = (address - SRAM_BASE) >>> 0;
    if (offset < this.#sram8.length) return this.#sram8[offset]!;
    return this.#readSlow(address >>> 0, 1);
  }

  write32(address: number, value: number): void {
    const offset = (address - SRAM_BASE) >>> 0;
    if (offset < this.#sram8.length && (offset & 3) === 0) this.#sram32[offset >> 2] = value;
    else this.#writeSlow(address >>> 0, value >>> 0, 4);
  }

  write16(address: number, value: number): void {
    const offset = (address - SRAM_BASE) >>> 0;
    if (offset < this.#sram8.length && (offset & 1) === 0) this.#sram16[offset >> 1] = value;
    else this.#writeSlow(address >>> 0, value, 2);
  }

  write8(address: number, value: number): void {
    const offset = (address - SRAM_BASE) >>> 0;
    if (offset < this.#sram8.length) this.#sram8[offset] = value;
    else this.#writeSlow(address >>> 0, value, 1);
  }

  #readSlow(address: number, width: number): number {
    if (address % width !== 0) hardFault(`unaligned ${8 * width}-bit read of ${hex(address)}`);
    if (address >= XIP_BASE && address < XIP_END) {
      return this.#xip.read(address & 0xffffff, width, (address & XIP_NOCACHE) === 0);
    }
    if (address < ROM_BYTES) return this.#readRom(address, width);
    if (width !== 4) refuse(`${8 * width}-bit read of ${hex(address)}, which is not memory`);
    return this.#readRegister(address) >>> 0;
  }

  #readRom(address: number, width: number): number {
    if (address < ROM_FIRST_READABLE) refuse(`read of ${hex(address)}: a null pointer`);
    const word = this.#chip.bootrom[address >> 2]!;
    const shifted = word >>> (8 * (address & 3));
    return width === 4 ? shifted : shifted & ((1 << (8 * width)) - 1);
  }

  #readRegister(address: number): number {
    const peripheral = this.#chip.findPeripheral(address);
    if (peripheral) return peripheral.readUint32(address & 0x3fff);
    if (address >>> 12 === PPB_PAGE) return this.#chip.ppb.readUint32(address & 0xfff);
    if (address >= SIO_BASE && SioDivider.has(address - SIO_BASE)) {
      return this.#divider.read(address - SIO_BASE);
    }
    if (address >= SIO_BASE && sioKnown(address - SIO_BASE)) {
      return this.#chip.sio.readUint32(address - SIO_BASE);
    }
    hardFault(`read of ${hex(address)}, which nothing answers`);
  }

  #writeSlow(address: number, value: number, width: number): void {
    if (address % width !== 0) hardFault(`unaligned ${8 * width}-bit write to ${hex(address)}`);
    if (address >= XIP_BASE && address < XIP_END) refuse(`plain store into flash at ${hex(address)}`);
    if (address < ROM_BYTES) refuse(`write to ROM at ${hex(address)}`);
    if (width !== 4) refuse(`${8 * width}-bit write to ${hex(address)}, which is not memory`);
    this.#writeRegister(address, value);
  }

  #writeRegister(address: number, value: number): void {
    const peripheral = this.#chip.findPeripheral(address);
    if (peripheral) peripheral.writeUint32Atomic(address & 0xfff, value, (address >> 12) & 3);
    else if (address >>> 12 === PPB_PAGE) this.#chip.ppb.writeUint32(address & 0xfff, value);
    else if (address >= SIO_BASE && SioDivider.has(address - SIO_BASE)) {
      this.#divider.write(address - SIO_BASE, value);
    } else if (address >= SIO_BASE && sioKnown(address - SIO_BASE)) {
      this.#chip.sio.writeUint32(address - SIO_BASE, value);
    } else hardFault(`write to ${hex(address)}, which nothing answers`);
  }
}
