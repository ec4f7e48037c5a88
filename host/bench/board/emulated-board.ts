// The emulated board: an image on an emulated RP2040 with everything that is wired to it, in exact virtual time.
import { loadImage } from "#host/image/load.ts";
import type { SymbolTable } from "#host/image/symbols.ts";
import type { Chip } from "./chip/chip.ts";
import { EmulationFault, refuse } from "./chip/fault.ts";
import { ChipLife, type Start } from "./chip-life.ts";
import { VirtualClock } from "./clock.ts";
import { Crystal } from "./outside/crystal.ts";
import { Harness } from "./outside/harness.ts";
import { NorFlash } from "./outside/nor-flash.ts";
import { SerialLine } from "./outside/serial-line.ts";
import { type PartTimes, TYPICAL } from "./part-times.ts";
import { PinRecorder } from "./pins.ts";

/** How a board is made. */
export interface BoardOptions {
  /** A UF2 file, or an ELF file that carries the checksum of its second boot stage. */
  readonly image: Uint8Array;
  /** The ELF file of the image, for symbols; not needed when `image` is an ELF file itself. */
  readonly elf?: Uint8Array;
  /** What TIMER reads when it starts, microseconds; a real chip starts at 0. */
  readonly timerStartUs?: number;
  /** How slow its parts are; those left out are typical. */
  readonly parts?: Partial<PartTimes>;
  /** Starts the boot ROM of a fresh chip, in place of its model. */
  readonly startRom?: (chip: Chip) => void;
}

const SRAM_BASE = 0x20000000;
const FLASH_BASE = 0x10000000;

/** A board with its image in flash, without power until `powerOn`. */
export class EmulatedBoard {
  readonly clock = new VirtualClock();
  readonly pins = new PinRecorder();
  readonly flash: NorFlash;
  readonly serial = new SerialLine(this.clock);
  readonly harness: Harness;
  readonly symbols: SymbolTable;
  /** When true, what silicon answers with a HardFault becomes one; when false (the default) it throws. */
  raiseFaults = false;
  /** Instructions run so far. */
  instructions = 0;
  readonly #watches = new Map<number, () => void>();
  readonly #life: ChipLife;
  #running = false;

  constructor(options: BoardOptions) {
    const image = loadImage(options.image);
    const times = { ...TYPICAL, ...options.parts };
    this.flash = new NorFlash(this.clock, times);
    this.symbols = options.elf ? loadImage(options.elf).symbols : image.symbols;
    for (const { address, bytes } of image.segments) this.flash.bytes.set(bytes, address);
    this.harness = new Harness(this.clock, this.pins, (gpio, level) => this.#setInput(gpio, level));
    const { clock, pins, flash, serial, harness } = this;
    this.#life = new ChipLife({
      clock,
      pins,
      flash,
      crystal: new Crystal(clock, times.crystalSteadyNs),
      times,
      serial,
      harness,
      timerStartUs: options.timerStartUs ?? 0,
      startRom: options.startRom,
    });
    this.flash.onPowerCut = () => this.powerOff();
    this.pins.onChange((gpio, level) => {
      this.harness.spi.select(gpio, level, this.clock.nanos, this.#life.chip?.spi0.busy ?? false);
    });
  }

  /** Now, virtual nanoseconds since the board was made. */
  get nowNs(): number {
    return this.clock.nanos;
  }

  /** The running chip. Throws while the board has no power. */
  get chip(): Chip {
    if (!this.#life.chip) throw new Error("the board has no power");
    return this.#life.chip;
  }

  get powered(): boolean {
    return this.#life.chip !== undefined;
  }

  /** True in the boot ROM's USB boot mode: the program asked for it, or the ROM gave up. Until the next start. */
  get inBootloader(): boolean {
    return this.#life.inBootloader;
  }

  /** Every start of the chip so far. */
  get starts(): readonly Start[] {
    return this.#life.starts;
  }

  powerOn(): void {
    if (this.#life.chip) throw new Error("the board has power already");
    this.#life.powerOn();
  }

  /** Takes the supply away at once; flash keeps its contents, a flash operation stays half done. */
  powerOff(): void {
    this.#life.powerOff();
  }

  /** Pulls the reset line of the chip for a moment, as a push-button does: the flash chip has no such line and works on. */
  pullReset(): void {
    this.#life.resetLine();
  }

  /** In the USB boot mode: the boot ROM takes a UF2 file, and restarts. Throws in any other state. */
  takeImage(uf2: Uint8Array): void {
    if (!this.inBootloader) throw new Error("the board is not in its boot mode");
    for (const { address, bytes } of loadImage(uf2).segments) this.flash.bytes.set(bytes, address);
    this.#life.restartByRom();
  }

  /** Power off for `offMs` and on again. */
  powerCycle(offMs = 100): void {
    this.powerOff();
    this.runFor(offMs * 1000);
    this.powerOn();
  }

  /** Calls `action` at virtual time `ns`, or at the next chance when that is past. */
  at(ns: number, action: () => void): void {
    this.clock.createAlarm(action).scheduleAt(ns);
  }

  /** Runs for `us` virtual microseconds. */
  runFor(us: number): void {
    this.run(this.clock.nanos + us * 1000);
  }

  /** Runs until virtual time `untilNs`; the last instruction may end a few cycles later. Throws an EmulationFault. */
  run(untilNs: number): void {
    if (this.#running) throw new Error("the board was told to run from inside a run");
    this.#running = true;
    try {
      while (this.clock.nanos < untilNs) {
        const { chip } = this.#life;
        if (chip) this.#runChip(chip, untilNs);
        else this.clock.advanceTo(untilNs);
      }
    } finally {
      this.#running = false;
    }
  }

  /** Runs until `condition` holds, looking every `stepUs`; false when it does not within `limitUs`. */
  runUntil(condition: () => boolean, limitUs: number, stepUs = 100): boolean {
    const end = this.clock.nanos + limitUs * 1000;
    while (!condition()) {
      if (this.clock.nanos >= end) return false;
      this.runFor(stepUs);
    }
    return true;
  }

  /** Makes the core take a HardFault before its next instruction. */
  injectHardFault(): void {
    this.chip.runner.raiseHardFault();
  }

  /** Overwrites code or data at a symbol, where it lies now: in RAM until the next start, or in flash for good. */
  patch(symbol: string, bytes: Uint8Array): void {
    const { address } = this.symbols.find(symbol);
    if (address >= SRAM_BASE) this.chip.rp2040.sram.set(bytes, address - SRAM_BASE);
    else this.flash.bytes.set(bytes, address - FLASH_BASE);
  }

  /** Calls `action` whenever the instruction at an address, or at a function's start, is about to run. */
  watch(where: string | number, action: () => void): void {
    if (this.#life.chip) this.#life.chip.runner.watches = this.#watches;
    this.#watches.set(typeof where === "string" ? this.symbols.find(where).address : where, action);
  }

  unwatch(where: string | number): void {
    this.#watches.delete(typeof where === "string" ? this.symbols.find(where).address : where);
  }

  #runChip(chip: Chip, untilNs: number): void {
    const { clock } = this;
    const { runner } = chip;
    const { core } = chip.rp2040;
    runner.watches = this.#watches.size > 0 ? this.#watches : undefined;
    const allowed = (): number => this.#cyclesTo(untilNs, chip.cycleNs);
    let steps = 0;
    try {
      while (clock.nanos < untilNs && this.#life.chip === chip) {
        if (core.waiting && chip.asleep) {
          this.#idle(untilNs);
          continue;
        }
        const cycles = runner.run(allowed);
        clock.nanos += cycles * chip.cycleNs;
        steps += runner.ran;
        if (clock.nextNanos <= clock.nanos) clock.advanceTo(clock.nanos);
      }
    } catch (error) {
      this.#fault(chip, error);
    } finally {
      this.instructions += steps;
    }
  }

  /** Cycles that may pass before anything happens; one at a time where sums of fractions would depend on how they are made. */
  #cyclesTo(untilNs: number, cycleNs: number): number {
    if (!Number.isInteger(cycleNs)) return 1;
    return Math.max(1, (Math.min(this.clock.nextNanos, untilNs) - this.clock.nanos) / cycleNs);
  }

  #idle(untilNs: number): void {
    const next = this.clock.nextNanos;
    if (next === Number.POSITIVE_INFINITY) refuse("the core waits for an interrupt and nothing is scheduled");
    this.clock.advanceTo(Math.min(next, untilNs));
  }

  #fault(chip: Chip, error: unknown): void {
    if (!(error instanceof EmulationFault)) throw error;
    const { pc } = chip.runner;
    if (!this.raiseFaults || !error.isHardFault) throw error.at(pc, this.symbols.at(pc));
    chip.rp2040.core.PC = pc;
    chip.runner.raiseHardFault();
  }

  #setInput(gpio: number, level: 0 | 1): void {
    if (this.#life.chip) this.#life.chip.rp2040.gpio[gpio]!.setInputValue(level === 1);
  }
}
