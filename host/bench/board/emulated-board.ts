// The emulated board: an image on an emulated RP2040 with everything that is wired to it, in exact virtual time.
import { loadImage } from "#host/image/load.ts";
import type { SymbolTable } from "#host/image/symbols.ts";
import { PINS } from "#shared-schema/pins.ts";
import { BOOT_ROM_NS, startSecondStage } from "./boot.ts";
import { Chip } from "./chip/chip.ts";
import { EmulationFault, refuse } from "./chip/fault.ts";
import { XipWindow } from "./chip/xip.ts";
import { ChipClock, VirtualClock } from "./clock.ts";
import { Harness } from "./outside/harness.ts";
import { NorFlash } from "./outside/nor-flash.ts";
import { SerialLine } from "./outside/serial-line.ts";
import type { WatchdogLegacy, WatchdogReason } from "./peripherals/watchdog.ts";
import { PinRecorder } from "./pins.ts";

/** How a board is made. */
export interface BoardOptions {
  /** A UF2 file, or an ELF file that carries the checksum of its second boot stage. */
  readonly image: Uint8Array;
  /** The ELF file of the image, for symbols; not needed when `image` is an ELF file itself. */
  readonly elf?: Uint8Array;
  /** What TIMER reads when it starts, microseconds; a real chip starts at 0. */
  readonly timerStartUs?: number;
}

/** Why the chip started: supply, watchdog ran out, or the program asked. */
export type StartReason = "power" | "watchdog" | "forced";

/** One start of the chip. */
export interface Start {
  readonly ns: number;
  readonly reason: StartReason;
}

const SRAM_BASE = 0x20000000;
const FLASH_BASE = 0x10000000;
const GARBAGE = 0xdeadbeef;
const IDLE_HIGH = 1;
const GPIOS = 30;

/** A board with its image in flash, without power until `powerOn`. */
export class EmulatedBoard {
  readonly clock = new VirtualClock();
  readonly pins = new PinRecorder();
  readonly flash = new NorFlash(this.clock);
  readonly serial = new SerialLine(this.clock);
  readonly harness: Harness;
  readonly symbols: SymbolTable;
  /** Every start of the chip so far. */
  readonly starts: Start[] = [];
  /** When true, what silicon answers with a HardFault becomes one; when false (the default) it throws. */
  raiseFaults = false;
  /** Instructions run so far. */
  instructions = 0;
  readonly #watches = new Map<number, () => void>();
  readonly #restart = this.clock.createAlarm(() => this.#restartNow());
  readonly #timerStartUs: number;
  #chip: Chip | undefined;
  #chipClock: ChipClock | undefined;
  #bite: WatchdogReason | undefined;
  #inBootloader = false;

  constructor(options: BoardOptions) {
    const image = loadImage(options.image);
    this.symbols = options.elf ? loadImage(options.elf).symbols : image.symbols;
    this.#timerStartUs = options.timerStartUs ?? 0;
    for (const { address, bytes } of image.segments) this.flash.bytes.set(bytes, address);
    this.harness = new Harness(this.clock, this.pins, (gpio, level) => this.#setInput(gpio, level));
    this.flash.onPowerCut = () => this.powerOff();
    this.pins.onChange((gpio, level) => {
      this.harness.spi.select(gpio, level, this.clock.nanos, this.#chip?.spi0.busy ?? false);
    });
  }

  /** Now, virtual nanoseconds since the board was made. */
  get nowNs(): number {
    return this.clock.nanos;
  }

  /** The running chip. Throws while the board has no power. */
  get chip(): Chip {
    if (!this.#chip) throw new Error("the board has no power");
    return this.#chip;
  }

  get powered(): boolean {
    return this.#chip !== undefined;
  }

  /** True after the program asked for the USB bootloader, until the next power-on. */
  get inBootloader(): boolean {
    return this.#inBootloader;
  }

  powerOn(): void {
    if (this.#chip) throw new Error("the board has power already");
    this.#start("power", { reason: 0, scratch: new Uint32Array(8) }, undefined);
  }

  /** Takes the supply away at once; flash keeps its contents, a flash operation stays half done. */
  powerOff(): void {
    this.#stopChip();
    this.flash.powerLost();
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
    while (this.clock.nanos < untilNs) {
      const chip = this.#chip;
      if (chip) this.#runChip(chip, untilNs);
      else this.clock.advanceTo(untilNs);
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
    let steps = 0;
    try {
      while (clock.nanos < untilNs && this.#chip === chip) {
        if (core.waiting && chip.asleep) {
          this.#idle(untilNs);
          continue;
        }
        clock.nanos += runner.step() * chip.cycleNs;
        steps++;
        if (clock.nextNanos <= clock.nanos) clock.advanceTo(clock.nanos);
      }
    } catch (error) {
      this.#fault(chip, error);
    } finally {
      this.instructions += steps;
    }
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

  #start(reason: StartReason, legacy: WatchdogLegacy, sram: Uint8Array | undefined): void {
    this.starts.push({ ns: this.clock.nanos, reason });
    this.#inBootloader = false;
    const chipClock = new ChipClock(this.clock);
    const chip = new Chip({
      clock: chipClock,
      xip: new XipWindow(this.flash),
      spi0: this.harness.spi,
      uart0: { sent: (byte, baud) => this.serial.receive(byte, baud) },
      legacy,
      timerStartUs: this.#timerStartUs,
      onPin: (gpio, level) => this.#onPin(chip, gpio, level),
      onBite: (bite) => this.#onBite(bite),
      onBootloader: () => this.#onBootloader(),
    });
    if (sram) chip.rp2040.sram.set(sram);
    else new Uint32Array(chip.rp2040.sram.buffer).fill(GARBAGE);
    this.#chip = chip;
    this.#chipClock = chipClock;
    this.#connect(chip);
    chip.rp2040.core.waiting = true;
    const boot = chipClock.createAlarm(() => this.#boot(chip, boot));
    boot.scheduleAt(this.clock.nanos + BOOT_ROM_NS);
  }

  /** The boot ROM cannot read a flash that still erases; it tries again. */
  #boot(chip: Chip, again: { scheduleAt(ns: number): void }): void {
    if (this.flash.busy) {
      again.scheduleAt(this.flash.busyUntilNs + BOOT_ROM_NS);
      return;
    }
    chip.rp2040.core.waiting = false;
    startSecondStage(chip, this.flash.bytes);
  }

  #connect(chip: Chip): void {
    for (const pin of chip.rp2040.gpio) {
      pin.setInputValue(this.#outsideLevel(pin.index) === 1);
      pin.irqStatus &= 3;
    }
    this.serial.boardBaud = () => chip.uart0.baud;
    this.serial.deliver = (byte, garbled) => chip.uart0.receive(byte, garbled);
  }

  #outsideLevel(gpio: number): 0 | 1 {
    const pin = PINS.find((candidate) => candidate.gpio === gpio);
    if (pin?.name === "uartRx") return IDLE_HIGH;
    return pin?.direction === "in" ? this.harness.inputLevel(gpio) : PinRecorder.idleLevel(gpio);
  }

  #setInput(gpio: number, level: 0 | 1): void {
    if (this.#chip) this.#chip.rp2040.gpio[gpio]!.setInputValue(level === 1);
  }

  #onPin(chip: Chip, gpio: number, level: 0 | 1 | undefined): void {
    if (this.#chip !== chip) return;
    this.pins.set(gpio, level ?? PinRecorder.idleLevel(gpio), this.clock.nanos);
  }

  /** The chip is replaced after the instruction or alarm that made it end. */
  #onBite(reason: WatchdogReason): void {
    this.#bite = reason;
    this.#restart.schedule(0);
  }

  #onBootloader(): void {
    this.#inBootloader = true;
    this.#restart.schedule(0);
  }

  #restartNow(): void {
    const old = this.#chip;
    this.#stopChip();
    if (this.#inBootloader || !old) return;
    const reason = this.#bite ?? 2;
    this.#bite = undefined;
    this.flash.processorReset();
    const legacy = { reason, scratch: old.watchdog.scratch.slice() };
    this.#start(reason === 1 ? "watchdog" : "forced", legacy, old.rp2040.sram);
  }

  #stopChip(): void {
    this.#chipClock?.dispose();
    this.#chip = undefined;
    this.serial.deliver = undefined;
    this.serial.boardBaud = () => 0;
    for (let gpio = 0; gpio < GPIOS; gpio++)
      this.pins.set(gpio, PinRecorder.idleLevel(gpio), this.clock.nanos);
  }
}
