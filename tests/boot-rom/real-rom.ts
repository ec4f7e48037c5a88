// The emulated chip with a real boot ROM in place of the model: its code runs from the reset vector on, and works the flash itself.
import { BasePeripheral, type Peripheral, type RP2040 } from "rp2040js";
import type { Chip } from "#host/bench/board/chip/chip.ts";
import { ROM_BYTES } from "#host/bench/board/chip/rom.ts";
import { SLOT } from "#host/bench/board/chip/slots.ts";
import { type FlashCounts, SerialSsi } from "./serial-ssi.ts";

const IO_QSPI = 0x40018;
const XIP_CTRL = 0x14000;
const ROSC = 0x40060;
const VREG_AND_CHIP_RESET = 0x40064;
const CLOCKS_UNKNOWN = 0x80;
const TBMAN = 0x4006c;
const PLATFORM = 0x00;
/** A chip, not a gate array. */
const PLATFORM_CHIP = 1;
/** The lines to the flash as inputs: the boot button pulls the select low. */
const SIO_GPIO_HI_IN = 0xd0000008;
const BUTTON_NOT_PRESSED = 0x3f;
const QSPI_SS_CTRL = 0x0c;
const OUTPUT_OVERRIDE = 3 << 8;
const FORCED_LOW = 2 << 8;
const FORCED_HIGH = 3 << 8;
const XIP_FLUSH = 0x04;
const STACK_VECTOR = 0;
const RESET_VECTOR = 1;

/** A block of registers that hold what is written and do nothing, but for what `written` does. */
class Registers extends BasePeripheral {
  readonly #values = new Map<number, number>();
  readonly #written: (offset: number, value: number) => void;

  constructor(chip: RP2040, name: string, written: (offset: number, value: number) => void = () => {}) {
    super(chip, name);
    this.#written = written;
  }

  override readUint32(offset: number): number {
    return this.#values.get(offset) ?? 0;
  }

  override writeUint32(offset: number, value: number): void {
    this.#values.set(offset, value >>> 0);
    this.#written(offset, value >>> 0);
  }
}

/** The clocks, whose last registers (frequency counter, wake and sleep enables) the package does not know. */
class Clocks extends Registers {
  readonly #known: Peripheral;

  constructor(chip: RP2040, known: Peripheral) {
    super(chip, "CLOCKS");
    this.#known = known;
  }

  override readUint32(offset: number): number {
    return offset < CLOCKS_UNKNOWN ? this.#known.readUint32(offset) : super.readUint32(offset);
  }

  override writeUint32(offset: number, value: number): void {
    if (offset < CLOCKS_UNKNOWN) this.#known.writeUint32(offset, value);
    else super.writeUint32(offset, value);
  }
}

/** Puts the ROM's bytes into a fresh chip and starts it at its reset vector. Returns what the flash is made to do from now on. */
export function startRealRom(chip: Chip, rom: Uint8Array): FlashCounts {
  if (rom.length !== ROM_BYTES)
    throw new Error(`a boot ROM has ${ROM_BYTES} bytes, the file has ${rom.length}`);
  const { rp2040 } = chip;
  const ssi = new SerialSsi(rp2040, chip.rom.xip);
  const { peripherals } = rp2040;
  peripherals[SLOT.ssi] = ssi;
  peripherals[IO_QSPI] = new Registers(rp2040, "IO_QSPI", (offset, value) => {
    if (offset !== QSPI_SS_CTRL) return;
    const override = value & OUTPUT_OVERRIDE;
    ssi.select(override === FORCED_LOW);
    if (override !== FORCED_LOW && override !== FORCED_HIGH && override !== 0)
      throw new Error("select inverted");
  });
  peripherals[XIP_CTRL] = new Registers(rp2040, "XIP_CTRL", (offset) => {
    if (offset === XIP_FLUSH) chip.rom.xip.flushCache();
  });
  peripherals[SLOT.clocks] = new Clocks(rp2040, peripherals[SLOT.clocks]!);
  // The ROM writes zeros here before the block is out of reset, which silicon passes over.
  peripherals[SLOT.syscfg] = new Registers(rp2040, "SYSCFG");
  peripherals[TBMAN] = new Registers(rp2040, "TBMAN");
  peripherals[TBMAN].writeUint32(PLATFORM, PLATFORM_CHIP);
  peripherals[ROSC] = new Registers(rp2040, "ROSC");
  peripherals[VREG_AND_CHIP_RESET] = new Registers(rp2040, "VREG_AND_CHIP_RESET");
  new Uint8Array(rp2040.bootrom.buffer).set(rom);
  const { core, bootrom } = rp2040;
  const { readUint32 } = core;
  core.readUint32 = (address) =>
    address >>> 0 === SIO_GPIO_HI_IN ? BUTTON_NOT_PRESSED : readUint32.call(core, address);
  core.VTOR = 0;
  core.SP = bootrom[STACK_VECTOR]!;
  core.PC = bootrom[RESET_VECTOR]! & ~1;
  core.waiting = false;
  return ssi.counts;
}
