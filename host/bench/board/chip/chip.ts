// One power-up of the RP2040: the package's chip with our memory map, core corrections and peripherals in their places.
import { type Peripheral, RP2040 } from "rp2040js";
import { gpioOf } from "#shared-schema/model/pins.ts";
import type { ChipClock } from "../clock.ts";
import type { Crystal } from "../outside/crystal.ts";
import type { PartTimes } from "../part-times.ts";
import { Pwm } from "../peripherals/pwm.ts";
import { Resets, type ResettableBlock } from "../peripherals/resets.ts";
import { Spi, type SpiBus } from "../peripherals/spi.ts";
import { Ssi } from "../peripherals/ssi.ts";
import { Timer } from "../peripherals/timer.ts";
import { Uart, type UartLine } from "../peripherals/uart.ts";
import { Watchdog, type WatchdogLegacy, type WatchdogReason } from "../peripherals/watchdog.ts";
import { Xosc, type XoscLegacy } from "../peripherals/xosc.ts";
import { StrictBus } from "./bus.ts";
import { checkClocks } from "./clock-checks.ts";
import { CoreRunner } from "./core.ts";
import { hardFault, hex, refuse } from "./fault.ts";
import { BootRom } from "./rom.ts";
import { KEPT, RESET_BIT, SLOT } from "./slots.ts";
import type { XipWindow } from "./xip.ts";

type OwnBlock = Peripheral & { reset(): void };

/** What a reset by the watchdog leaves as it was. */
export interface ChipLegacy extends WatchdogLegacy {
  readonly xosc?: XoscLegacy;
}

/** What a chip is connected to, and what it inherits. */
export interface ChipSurroundings {
  readonly clock: ChipClock;
  readonly xip: XipWindow;
  readonly spi0: SpiBus;
  readonly uart0: UartLine;
  readonly crystal: Crystal;
  readonly times: PartTimes;
  readonly legacy: ChipLegacy;
  /** What TIMER reads when it starts, microseconds. */
  readonly timerStartUs: number;
  onPin(gpio: number, level: 0 | 1 | undefined): void;
  onBite(reason: WatchdogReason): void;
  onBootloader(): void;
}

const IRQ_SPI0 = 18;
const IRQ_UART0 = 20;
const SPI0_PINS = { clock: gpioOf("spiClock"), out: gpioOf("spiOut"), in: gpioOf("spiIn") };
const UART0_PINS = { tx: gpioOf("uartTx"), rx: gpioOf("uartRx") };
/** Reset value of a GPIO pad: input on, pulled down, Schmitt trigger, 4 mA (from memory; the package starts pads with inputs off). */
const PAD_RESET = 0x56;
const FUNCTION_RESET = 0x1f;
/** Blocks that a watchdog bite must reset: all but the ring and crystal oscillators. */
const WATCHDOG_MUST_RESET = 0x1fffc;

/** What the package's core calls itself in its log. */
const CORE = "CortexM0Core";
/** First halfword of an instruction that moves a special register (ARMv6-M Architecture Reference Manual, A6.7; from memory). */
const MRS_MSR = 0xf380;
const MRS_MSR_MASK = 0xff80;

function undefinedInstruction(opcode: number): never {
  hardFault(`undefined instruction 0x${opcode.toString(16)}`);
}

/** The package's reset also wipes a 16 MiB flash of its own, which nothing here uses: most of the cost of a new chip. */
class FreshRp2040 extends RP2040 {
  override reset(): void {
    this.pwm.reset();
  }
}

/** The chip between one reset and the next. */
export class Chip {
  readonly rp2040: RP2040;
  readonly runner: CoreRunner;
  readonly rom: BootRom;
  readonly uart0: Uart;
  readonly spi0: Spi;
  readonly watchdog: Watchdog;
  readonly #xosc: Xosc;
  /** Length of a cycle of clk_sys, ns. */
  cycleNs: number;

  constructor(around: ChipSurroundings) {
    this.rp2040 = new FreshRp2040(around.clock);
    const chip = this.rp2040;
    const timer = new Timer(chip, around.timerStartUs);
    this.uart0 = new Uart(chip, IRQ_UART0, UART0_PINS, around.uart0, around.times.restBits);
    this.spi0 = new Spi(chip, IRQ_SPI0, SPI0_PINS, around.spi0);
    this.watchdog = new Watchdog(
      chip,
      around.legacy,
      (reason) => this.#bite(reason, around),
      (hz) => timer.tickChanged(hz),
    );
    this.#xosc = new Xosc(chip, around.crystal, around.legacy.xosc, (ns) => this.#passTime(ns, around.clock));
    this.runner = new CoreRunner(chip.core);
    around.xip.onWait = (cycles) => this.runner.wait(cycles);
    this.rom = new BootRom(chip, around.xip);
    this.rom.onBootloader = () => around.onBootloader();
    new StrictBus(chip, around.xip);
    this.#placePeripherals(timer, around);
    this.#strictLogger();
    this.#wirePins(around);
    checkClocks(
      chip,
      around.times.ringHz,
      (what) => this.#xosc.require(what),
      () => this.watchdog.clockChanged(),
    );
    this.cycleNs = 1e9 / chip.clkSys;
    chip.addClockListener((hz) => {
      this.cycleNs = 1e9 / hz;
      around.clock.board.alignTo(this.cycleNs);
    });
    chip.onBreak = (number) => this.#break(number);
  }

  #placePeripherals(timer: Timer, around: ChipSurroundings): void {
    const chip = this.rp2040;
    const { peripherals } = chip;
    for (const slot of Object.keys(peripherals).map(Number)) {
      if (!KEPT.includes(slot)) delete peripherals[slot];
    }
    const pwm = new Pwm(chip);
    Object.assign(chip, { pwm });
    peripherals[SLOT.ssi] = new Ssi(chip, around.xip);
    peripherals[SLOT.watchdog] = this.watchdog;
    peripherals[SLOT.xosc] = this.#xosc;
    peripherals[SLOT.resets] = new Resets(chip, this.#blocks(timer, pwm));
  }

  #blocks(timer: Timer, pwm: Pwm): ResettableBlock[] {
    const { peripherals } = this.rp2040;
    const kept = (name: keyof typeof RESET_BIT, reset?: () => void): ResettableBlock => {
      const at = { bit: RESET_BIT[name], slot: SLOT[name], name };
      const block = peripherals[SLOT[name]]!;
      return reset ? { ...at, block, reset } : { ...at, block };
    };
    const ours = (
      name: keyof typeof RESET_BIT,
      block: OwnBlock,
      onPeripheralClock = false,
    ): ResettableBlock => ({
      bit: RESET_BIT[name],
      slot: SLOT[name],
      name,
      block,
      reset: () => block.reset(),
      onPeripheralClock,
    });
    return [
      kept("ioBank0", () => this.#resetPins()),
      kept("padsBank0", () => this.#resetPads()),
      kept("padsQspi"),
      kept("pllSys"),
      kept("pllUsb"),
      kept("syscfg"),
      kept("sysinfo"),
      ours("pwm", pwm),
      ours("timer", timer),
      ours("spi0", this.spi0, true),
      ours("uart0", this.uart0, true),
    ];
  }

  #resetPins(): void {
    for (const pin of this.rp2040.gpio) {
      pin.ctrl = FUNCTION_RESET;
      pin.irqEnableMask = pin.irqForceMask = 0;
      pin.checkForUpdates();
    }
  }

  #resetPads(): void {
    for (const pin of this.rp2040.gpio) pin.padValue = PAD_RESET;
  }

  #strictLogger(): void {
    const complain = (part: string, message: string): never => {
      if (part === CORE) this.#checkDefined();
      refuse(`${part}: ${message}`);
    };
    this.rp2040.logger = { debug() {}, info() {}, warn: complain, error: complain };
  }

  #wirePins(around: ChipSurroundings): void {
    for (const pin of this.rp2040.gpio) {
      pin.addListener(() => {
        const driven = pin.outputEnable && !pin.outputDisable;
        around.onPin(pin.index, driven ? (pin.outputValue ? 1 : 0) : undefined);
      });
    }
  }

  /** What the next chip inherits from this one after a reset by the watchdog. */
  legacy(reason: WatchdogReason): ChipLegacy {
    return { reason, scratch: this.watchdog.scratch.slice(), xosc: this.#xosc.legacy };
  }

  /** The program does nothing but poll: time goes to the moment that it waits for, or to what happens before. */
  #passTime(ns: number, clock: ChipClock): void {
    const wait = Math.min(ns, clock.board.nextNanos) - clock.nanos;
    if (wait > 0 && Number.isFinite(wait)) this.runner.wait(Math.ceil(wait / this.cycleNs));
  }

  #bite(reason: WatchdogReason, around: ChipSurroundings): void {
    const selected = this.rp2040.peripherals[SLOT.psm]!.readUint32(0x08);
    if ((selected & WATCHDOG_MUST_RESET) !== WATCHDOG_MUST_RESET) {
      refuse(`watchdog bite with PSM WDSEL = ${hex(selected)}: it would reset too little`);
    }
    around.onBite(reason);
  }

  /**
   * True while the core has nothing to do: it waits for an interrupt, or the ROM waits for the flash. With interrupts
   * masked nothing can come of one that pends meanwhile.
   */
  get asleep(): boolean {
    const { core } = this.rp2040;
    if (!core.waiting) return false;
    const flashBusy = this.rom.waitsForFlash && this.rom.xip.flash.busy;
    if (flashBusy && core.PM) return true;
    if (this.runner.wakes()) return false;
    if (this.rom.waitsForFlash && !flashBusy) core.waiting = false;
    return core.waiting;
  }

  /** What the core complains of is an undefined instruction, unless it moves a special register that is not modelled. */
  #checkDefined(): void {
    const opcode = this.rp2040.core.readUint16(this.runner.pc);
    if ((opcode & MRS_MSR_MASK) !== MRS_MSR) undefinedInstruction(opcode);
  }

  /** The package calls one hook for breakpoints and for undefined instructions. */
  #break(number: number): void {
    const { core } = this.rp2040;
    const opcode = core.readUint16(core.PC - 2);
    if (opcode >> 8 !== 0xbe) undefinedInstruction(opcode);
    this.rom.breakpoint(number);
  }
}
