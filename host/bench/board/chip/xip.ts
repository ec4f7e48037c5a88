// The window through which the core reads flash: open only when the serial interface is set up and no stale cache is left.
import { FLASH } from "#shared-schema/model/blocks.ts";
import type { NorFlash } from "../outside/nor-flash.ts";
import { TYPICAL } from "../part-times.ts";
import { refuse } from "./fault.ts";
import { XipCache } from "./xip-cache.ts";

/** What stands between the core and the flash. `open`: reads work. */
type Mode = "closed" | "open" | "connected" | "commands";

/** The ROM's own set-up (its function CX), in cycles of clk_sys a clock; from memory. */
const ROM_DIVIDER = 6;

/** Follows the order that the boot ROM's flash functions need: connect, exit, change, flush, then open again. */
export class XipWindow {
  readonly flash: NorFlash;
  /** Called when a read has to wait, with cycles of clk_sys. */
  onWait: (cycles: number) => void = () => {};
  readonly #cache = new XipCache();
  #mode: Mode = "closed";
  #stale = false;
  #divider = ROM_DIVIDER;

  readonly #readClocks: number;

  /** `readClocks`: see `PartTimes`. */
  constructor(flash: NorFlash, readClocks = TYPICAL.readClocks) {
    this.flash = flash;
    this.#readClocks = readClocks;
  }

  get isOpen(): boolean {
    return this.#mode === "open";
  }

  /**
   * Reads 1, 2 or 4 bytes at an offset of the flash, through the cache or past it; what does not come from the cache takes
   * time. Throws when it is not open.
   */
  read(offset: number, width: number, cached = true): number {
    if (this.#mode !== "open")
      refuse(`flash read at offset 0x${offset.toString(16)} while it is ${this.#mode}`);
    if (this.#stale && cached) refuse("flash read before the cache was flushed");
    const word = cached ? this.#cache.word(offset, this.#fetchWord) : this.#fetch(offset);
    return width === 4 ? word : (word >>> (8 * (offset & 3))) & (width === 2 ? 0xffff : 0xff);
  }

  /** Made once: a program that runs from flash reads it at each instruction. */
  readonly #fetchWord = (offset: number): number => this.#fetch(offset);

  #fetch(offset: number): number {
    this.onWait(this.#readClocks * this.#divider);
    return this.flash.read(offset & ~3, 4);
  }

  /** The serial interface was set up for plain reads with a divider of clk_sys (second boot stage), or the ROM did so. */
  open(divider = ROM_DIVIDER): void {
    if (this.flash.busy) refuse("flash interface set up for reading while the flash is busy");
    this.#divider = divider;
    this.#mode = "open";
  }

  /** The serial interface was disabled, or the chip was reset. */
  close(): void {
    if (this.#mode === "open") this.#mode = "closed";
  }

  /** ROM function IF. */
  connect(): void {
    this.#mode = "connected";
  }

  /** ROM function EX. */
  exitXip(): void {
    if (this.#mode !== "connected") refuse("flash_exit_xip before connect_internal_flash");
    this.#mode = "commands";
  }

  /** ROM function RE. The ROM only uses 4 KiB erases here, whatever block size is offered. */
  erase(offset: number, count: number): void {
    this.#needCommands("flash_range_erase");
    this.flash.erase(offset, count);
  }

  /** ROM function RP. */
  program(offset: number, data: Uint8Array): void {
    this.#needCommands("flash_range_program");
    if (data.length % FLASH.page !== 0) refuse(`flash_range_program of ${data.length} bytes`);
    this.flash.program(offset, data);
  }

  /** ROM function FC. */
  flushCache(): void {
    this.#cache.flush();
    this.#stale = false;
  }

  #needCommands(name: string): void {
    if (this.#mode !== "commands") refuse(`${name} while the flash interface is ${this.#mode}`);
    this.#stale = true;
  }
}
