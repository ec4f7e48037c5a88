// A board's chip from one start to the next: boot, watchdog reset, bootloader, loss of supply. Flash, time and harness outlive it.
import { PINS } from "#shared-schema/model/pins.ts";
import { BOOT_ROM_NS, BOOT_TRIES, BOOT_TRY_CYCLES, startSecondStage } from "./boot.ts";
import { Chip, type ChipLegacy } from "./chip/chip.ts";
import { XipWindow } from "./chip/xip.ts";
import { ChipClock, type VirtualAlarm, type VirtualClock } from "./clock.ts";
import type { Crystal } from "./outside/crystal.ts";
import type { Harness } from "./outside/harness.ts";
import type { NorFlash } from "./outside/nor-flash.ts";
import type { SerialLine } from "./outside/serial-line.ts";
import type { PartTimes } from "./part-times.ts";
import type { WatchdogReason } from "./peripherals/watchdog.ts";
import { GPIOS, PinRecorder } from "./pins.ts";

/** Why the chip started: supply, watchdog ran out, the program asked, or the boot ROM had taken a new image. */
export type StartReason = "power" | "watchdog" | "forced" | "rom";

/** One start of the chip. */
export interface Start {
  readonly ns: number;
  readonly reason: StartReason;
}

/** What the chip is soldered to. */
export interface BoardParts {
  readonly clock: VirtualClock;
  readonly pins: PinRecorder;
  readonly flash: NorFlash;
  readonly crystal: Crystal;
  readonly times: PartTimes;
  readonly serial: SerialLine;
  readonly harness: Harness;
  /** What TIMER reads when it starts, microseconds. */
  readonly timerStartUs: number;
  /** Starts a real boot ROM; undefined for the model. */
  readonly startRom: ((chip: Chip) => void) | undefined;
}

const GARBAGE = 0xdeadbeef;
const LEVEL_STATUS = 3;
/** Scratch registers that are all 0, as after power-on. */
const POWER_ON: ChipLegacy = { reason: 0, scratch: new Uint32Array(8) };
/** The ROM's function UB keeps its two arguments in the first of the scratch registers. */
const BOOT_ARGUMENTS = 2;
const BOOT_JUMP = 4;

/** Makes chips and ends them. A watchdog reset makes a new one that inherits SRAM, scratch registers and reason. */
export class ChipLife {
  /** The running chip, undefined without supply and in the bootloader. */
  chip: Chip | undefined;
  /** Every start so far. */
  readonly starts: Start[] = [];
  /** True in the ROM's USB boot mode: the program asked for it, or the ROM found no second boot stage. Until the next start. */
  inBootloader = false;
  readonly #parts: BoardParts;
  readonly #end: VirtualAlarm;
  #clock: ChipClock | undefined;
  #bite: WatchdogReason | undefined;
  /** Scratch registers and the like while the ROM is in its boot mode. */
  #kept: ChipLegacy = POWER_ON;

  constructor(parts: BoardParts) {
    this.#parts = parts;
    this.#end = parts.clock.createAlarm(() => this.#replace());
  }

  powerOn(): void {
    this.#start("power", POWER_ON, undefined);
  }

  /** The boot ROM has taken a new image in its USB boot mode: it restarts the chip through the watchdog, which runs out. */
  restartByRom(): void {
    if (!this.inBootloader) throw new Error("the board is not in its boot mode");
    const scratch = this.#kept.scratch.slice();
    scratch[BOOT_JUMP] = 0;
    this.#start("rom", { ...this.#kept, reason: 1, scratch }, undefined);
  }

  powerOff(): void {
    this.#stop();
    this.inBootloader = false;
    this.#parts.crystal.stop();
    this.#parts.flash.powerLost();
  }

  #start(reason: StartReason, legacy: ChipLegacy, sram: Uint8Array | undefined): void {
    const { clock } = this.#parts;
    this.starts.push({ ns: clock.nanos, reason });
    this.inBootloader = false;
    this.#clock = new ChipClock(clock);
    const chip = this.#makeChip(this.#clock, legacy);
    if (sram) chip.rp2040.sram.set(sram);
    else new Uint32Array(chip.rp2040.sram.buffer, 0, chip.rp2040.sram.length / 4).fill(GARBAGE);
    this.chip = chip;
    this.#connect(chip);
    if (this.#parts.startRom) this.#parts.startRom(chip);
    else this.#waitForBoot(chip, this.#clock);
  }

  #makeChip(clock: ChipClock, legacy: ChipLegacy): Chip {
    const { crystal, flash, harness, serial, timerStartUs, times } = this.#parts;
    const chip: Chip = new Chip({
      clock,
      xip: new XipWindow(flash, times.readClocks),
      spi0: harness.spi,
      uart0: { sent: (byte, baud) => serial.receive(byte, baud) },
      crystal,
      times,
      legacy,
      timerStartUs,
      onPin: (gpio, level) => this.#onPin(chip, gpio, level),
      onBite: (reason) => {
        this.#bite = reason;
        this.#end.schedule(0);
      },
      onBootloader: () => {
        chip.watchdog.scratch.set(chip.rp2040.core.registers.subarray(0, BOOT_ARGUMENTS));
        this.#toBootMode();
      },
    });
    return chip;
  }

  #toBootMode(): void {
    this.inBootloader = true;
    this.#end.schedule(0);
  }

  /** The boot ROM cannot read a flash that still erases; it tries again, but not for ever. */
  #waitForBoot(chip: Chip, clock: ChipClock): void {
    const { flash, times } = this.#parts;
    let tries = 0;
    chip.rp2040.core.waiting = true;
    const boot = clock.createAlarm(() => {
      if (flash.busy) {
        if (++tries < BOOT_TRIES) boot.schedule((BOOT_TRY_CYCLES / times.ringHz) * 1e9);
        else this.#toBootMode();
        return;
      }
      chip.rp2040.core.waiting = false;
      startSecondStage(chip, flash.bytes);
    });
    boot.schedule(BOOT_ROM_NS);
  }

  #connect(chip: Chip): void {
    const { serial } = this.#parts;
    for (const pin of chip.rp2040.gpio) {
      pin.setInputValue(this.#outsideLevel(pin.index) === 1);
      pin.irqStatus &= LEVEL_STATUS;
    }
    serial.boardBaud = () => chip.uart0.baud;
    serial.deliver = (byte, garbled) => chip.uart0.receive(byte, garbled);
  }

  #outsideLevel(gpio: number): 0 | 1 {
    const pin = PINS.find((candidate) => candidate.gpio === gpio);
    if (pin?.name === "uartRx") return 1;
    return pin?.direction === "in" ? this.#parts.harness.inputLevel(gpio) : PinRecorder.idleLevel(gpio);
  }

  #onPin(chip: Chip, gpio: number, level: 0 | 1 | undefined): void {
    if (this.chip !== chip) return;
    this.#parts.pins.set(gpio, level ?? PinRecorder.idleLevel(gpio), this.#parts.clock.nanos);
  }

  /** Runs after the instruction or alarm that made the chip end. */
  #replace(): void {
    const old = this.chip;
    this.#stop();
    if (!old) return;
    this.#parts.flash.processorReset();
    const reason = this.#bite ?? 2;
    const legacy = old.legacy(reason);
    if (this.inBootloader) this.#kept = legacy;
    else this.#start(reason === 1 ? "watchdog" : "forced", legacy, old.rp2040.sram);
  }

  /** Pulls the chip's reset line low for a moment: nothing of the chip is kept, but the flash chip works on. */
  resetLine(): void {
    this.#stop();
    this.#parts.crystal.stop();
    this.#parts.flash.processorReset();
    this.#start("power", POWER_ON, undefined);
  }

  #stop(): void {
    const { clock, pins, serial } = this.#parts;
    this.#clock?.dispose();
    this.#end.cancel();
    this.chip = undefined;
    serial.deliver = undefined;
    serial.boardBaud = () => 0;
    for (let gpio = 0; gpio < GPIOS; gpio++) pins.set(gpio, PinRecorder.idleLevel(gpio), clock.nanos);
  }
}
