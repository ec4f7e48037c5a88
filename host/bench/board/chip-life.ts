// A board's chip from one start to the next: boot, watchdog reset, bootloader, loss of supply. Flash, time and harness outlive it.
import { PINS } from "#shared-schema/model/pins.ts";
import { BOOT_ROM_NS, startSecondStage } from "./boot.ts";
import { Chip } from "./chip/chip.ts";
import { XipWindow } from "./chip/xip.ts";
import { ChipClock, type VirtualAlarm, type VirtualClock } from "./clock.ts";
import type { Harness } from "./outside/harness.ts";
import type { NorFlash } from "./outside/nor-flash.ts";
import type { SerialLine } from "./outside/serial-line.ts";
import type { WatchdogLegacy, WatchdogReason } from "./peripherals/watchdog.ts";
import { GPIOS, PinRecorder } from "./pins.ts";

/** Why the chip started: supply, watchdog ran out, or the program asked. */
export type StartReason = "power" | "watchdog" | "forced";

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
  readonly serial: SerialLine;
  readonly harness: Harness;
  /** What TIMER reads when it starts, microseconds. */
  readonly timerStartUs: number;
}

const GARBAGE = 0xdeadbeef;
const LEVEL_STATUS = 3;

/** Makes chips and ends them. A watchdog reset makes a new one that inherits SRAM, scratch registers and reason. */
export class ChipLife {
  /** The running chip, undefined without supply and in the bootloader. */
  chip: Chip | undefined;
  /** Every start so far. */
  readonly starts: Start[] = [];
  /** True after the program asked for the USB bootloader, until the next start. */
  inBootloader = false;
  readonly #parts: BoardParts;
  readonly #end: VirtualAlarm;
  #clock: ChipClock | undefined;
  #bite: WatchdogReason | undefined;

  constructor(parts: BoardParts) {
    this.#parts = parts;
    this.#end = parts.clock.createAlarm(() => this.#replace());
  }

  powerOn(): void {
    this.#start("power", { reason: 0, scratch: new Uint32Array(8) }, undefined);
  }

  powerOff(): void {
    this.#stop();
    this.#parts.flash.powerLost();
  }

  #start(reason: StartReason, legacy: WatchdogLegacy, sram: Uint8Array | undefined): void {
    const { clock } = this.#parts;
    this.starts.push({ ns: clock.nanos, reason });
    this.inBootloader = false;
    this.#clock = new ChipClock(clock);
    const chip = this.#makeChip(this.#clock, legacy);
    if (sram) chip.rp2040.sram.set(sram);
    else new Uint32Array(chip.rp2040.sram.buffer).fill(GARBAGE);
    this.chip = chip;
    this.#connect(chip);
    this.#waitForBoot(chip, this.#clock);
  }

  #makeChip(clock: ChipClock, legacy: WatchdogLegacy): Chip {
    const { flash, harness, serial, timerStartUs } = this.#parts;
    const chip: Chip = new Chip({
      clock,
      xip: new XipWindow(flash),
      spi0: harness.spi,
      uart0: { sent: (byte, baud) => serial.receive(byte, baud) },
      legacy,
      timerStartUs,
      onPin: (gpio, level) => this.#onPin(chip, gpio, level),
      onBite: (reason) => {
        this.#bite = reason;
        this.#end.schedule(0);
      },
      onBootloader: () => {
        this.inBootloader = true;
        this.#end.schedule(0);
      },
    });
    return chip;
  }

  /** The boot ROM cannot read a flash that still erases; it tries again. */
  #waitForBoot(chip: Chip, clock: ChipClock): void {
    const { flash } = this.#parts;
    chip.rp2040.core.waiting = true;
    const boot = clock.createAlarm(() => {
      if (flash.busy) {
        boot.scheduleAt(flash.busyUntilNs + BOOT_ROM_NS);
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
    if (this.inBootloader || !old) return;
    this.#parts.flash.processorReset();
    const reason = this.#bite ?? 2;
    const legacy = { reason, scratch: old.watchdog.scratch.slice() };
    this.#start(reason === 1 ? "watchdog" : "forced", legacy, old.rp2040.sram);
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
