// SPI (PL022), master, mode 0: frames of 4 to 16 bits that take their time, FIFOs of eight, its four interrupts.
import { BasePeripheral, FIFO, type RP2040 } from "rp2040js";
import { refuse } from "../chip/fault.ts";

const CR0 = 0x00;
const CR1 = 0x04;
const DR = 0x08;
const SR = 0x0c;
const CPSR = 0x10;
const IMSC = 0x14;
const RIS = 0x18;
const MIS = 0x1c;
const ICR = 0x20;

const CR0_FORMAT_AND_MODE = 0xf0;
const CR1_SSE = 1 << 1;
const CR1_UNMODELLED = 0x0d;
const SR_TFE = 1 << 0;
const SR_TNF = 1 << 1;
const SR_RNE = 1 << 2;
const SR_RFF = 1 << 3;
const SR_BSY = 1 << 4;
const INT_OVERRUN = 1 << 0;
const INT_TIMEOUT = 1 << 1;
const INT_RX = 1 << 2;
const INT_TX = 1 << 3;
const FIFO_DEPTH = 8;
const HALF = 4;
const TIMEOUT_BITS = 32;
/** Clocks between two frames in mode 0, while the frame select pulses. From memory, unverified. */
const GAP_BITS = 1;
const FUNCTION_SPI = 1;

/** The GPIOs that an SPI block is wired through. */
export interface SpiPins {
  readonly clock: number;
  readonly out: number;
  readonly in: number;
}

/** What hangs on an SPI bus. */
export interface SpiBus {
  /** One frame: `bits` bits, most significant first, at `clockHz`. Returns what came back. */
  exchange(value: number, bits: number, clockHz: number): number;
}

/** Only master mode with SPO = SPH = 0 is modelled; anything else is refused. */
export class Spi extends BasePeripheral {
  readonly #irq: number;
  readonly #pins: SpiPins;
  readonly #wires: readonly number[];
  readonly #bus: SpiBus;
  readonly #rx = new FIFO(FIFO_DEPTH);
  readonly #tx = new FIFO(FIFO_DEPTH);
  readonly #alarm: ReturnType<RP2040["clock"]["createAlarm"]>;
  readonly #timeout: ReturnType<RP2040["clock"]["createAlarm"]>;
  #shifting = -1;
  #cr0 = 0;
  #cr1 = 0;
  #prescale = 0;
  #mask = 0;
  #latched = 0;

  constructor(chip: RP2040, irq: number, pins: SpiPins, bus: SpiBus) {
    super(chip, `SPI${irq - 18}`);
    this.#irq = irq;
    this.#pins = pins;
    this.#wires = [pins.clock, pins.out, pins.in];
    this.#bus = bus;
    this.#alarm = chip.clock.createAlarm(() => this.#frameDone());
    this.#timeout = chip.clock.createAlarm(() => this.#latch(INT_TIMEOUT));
  }

  /** True while a frame is on the wires. */
  get busy(): boolean {
    return this.#shifting >= 0;
  }

  get clockHz(): number {
    return this.rp2040.clkPeri / (this.#prescale * (1 + ((this.#cr0 >> 8) & 0xff)));
  }

  reset(): void {
    this.#alarm.cancel();
    this.#timeout.cancel();
    this.#rx.reset();
    this.#tx.reset();
    this.#shifting = -1;
    this.#cr0 = this.#cr1 = this.#prescale = this.#mask = this.#latched = 0;
    this.#interrupt();
  }

  override readUint32(offset: number): number {
    switch (offset) {
      case CR0:
        return this.#cr0;
      case CR1:
        return this.#cr1;
      case DR:
        return this.#readData();
      case SR:
        return this.#status();
      case CPSR:
        return this.#prescale;
      case IMSC:
        return this.#mask;
      case RIS:
        return this.#raw();
      case MIS:
        return this.#raw() & this.#mask;
    }
    return super.readUint32(offset);
  }

  override writeUint32(offset: number, value: number): void {
    if (offset === DR) this.#writeData(value);
    else if (offset === CR0) this.#writeFormat(value);
    else if (offset === CR1) this.#writeControl(value);
    else if (offset === CPSR) this.#prescale = value & 0xfe;
    else if (offset === IMSC) this.#mask = value & 0xf;
    else if (offset === ICR) this.#latched &= ~this.rawWriteValue;
    else super.writeUint32(offset, value);
    this.#interrupt();
  }

  #raw(): number {
    const levels = (this.#rx.itemCount >= HALF ? INT_RX : 0) | (this.#tx.itemCount <= HALF ? INT_TX : 0);
    return this.#latched | levels;
  }

  #status(): number {
    return (
      (this.#tx.empty ? SR_TFE : 0) |
      (this.#tx.full ? 0 : SR_TNF) |
      (this.#rx.empty ? 0 : SR_RNE) |
      (this.#rx.full ? SR_RFF : 0) |
      (this.busy || !this.#tx.empty ? SR_BSY : 0)
    );
  }

  #readData(): number {
    if (this.#rx.empty) refuse(`${this.name}: data read while the receive FIFO is empty`);
    const value = this.#rx.pull();
    this.#armTimeout();
    this.#interrupt();
    return value;
  }

  #writeFormat(value: number): void {
    if (this.busy) refuse(`${this.name}: frame format changed while busy`);
    if ((value & CR0_FORMAT_AND_MODE) !== 0 || (value & 0xf) < 3) {
      refuse(`${this.name}: frame format 0x${value.toString(16)} is not modelled`);
    }
    this.#cr0 = value & 0xffff;
  }

  #writeControl(value: number): void {
    if ((value & CR1_UNMODELLED) !== 0)
      refuse(`${this.name}: control 0x${value.toString(16)} is not modelled`);
    this.#cr1 = value & CR1_SSE;
    this.#shiftNext();
  }

  #writeData(value: number): void {
    if (this.#tx.full) refuse(`${this.name}: data written while the transmit FIFO is full`);
    if (!this.rp2040.gpio[this.#pins.in]!.inputEnable) refuse(`${this.name}: its input pad is off`);
    for (const pin of this.#wires) {
      if (this.rp2040.gpio[pin]!.functionSelect !== FUNCTION_SPI)
        refuse(`${this.name}: GP${pin} is not given to it`);
    }
    this.#tx.push(value & ((2 << (this.#cr0 & 0xf)) - 1));
    this.#shiftNext();
  }

  /** `gapBits`: clocks that pass before the frame. */
  #shiftNext(gapBits = 0): void {
    if (this.busy || this.#tx.empty || (this.#cr1 & CR1_SSE) === 0) return;
    const hz = this.clockHz;
    if (!(hz > 0 && Number.isFinite(hz))) refuse(`${this.name}: started without a clock`);
    this.#shifting = this.#tx.pull();
    const bits = (this.#cr0 & 0xf) + 1;
    this.#alarm.schedule(((gapBits + bits) * 1e9) / hz);
  }

  #frameDone(): void {
    const bits = (this.#cr0 & 0xf) + 1;
    const received = this.#bus.exchange(this.#shifting, bits, this.clockHz);
    this.#shifting = -1;
    if (this.#rx.full) this.#latched |= INT_OVERRUN;
    else this.#rx.push(received);
    this.#armTimeout();
    this.#shiftNext(GAP_BITS);
    this.#interrupt();
  }

  #armTimeout(): void {
    this.#timeout.cancel();
    if (this.#rx.empty) this.#latched &= ~INT_TIMEOUT;
    else if ((this.#mask & INT_TIMEOUT) !== 0) this.#timeout.schedule((TIMEOUT_BITS * 1e9) / this.clockHz);
  }

  #latch(bits: number): void {
    this.#latched |= bits;
    this.#interrupt();
  }

  #interrupt(): void {
    this.rp2040.setInterrupt(this.#irq, (this.#raw() & this.#mask) !== 0);
  }
}
