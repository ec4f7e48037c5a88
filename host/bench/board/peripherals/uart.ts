// UART (PL011): two 32-byte FIFOs, one frame after the other at the programmed rate, interrupts on passing a level.
import { BasePeripheral, FIFO, type RP2040 } from "rp2040js";
import { refuse } from "../chip/fault.ts";

const DR = 0x00;
const RSR = 0x04;
const FR = 0x18;
const IBRD = 0x24;
const FBRD = 0x28;
const LCR_H = 0x2c;
const CR = 0x30;
const IFLS = 0x34;
const IMSC = 0x38;
const RIS = 0x3c;
const MIS = 0x40;
const ICR = 0x44;

const FR_TXFE = 1 << 7;
const FR_RXFF = 1 << 6;
const FR_TXFF = 1 << 5;
const FR_RXFE = 1 << 4;
const FR_BUSY = 1 << 3;
const LCR_FEN = 1 << 4;
const LCR_8_BITS = 3 << 5;
const LCR_FRAME = 0xef;
const CR_UARTEN = 1 << 0;
const CR_TXE = 1 << 8;
const CR_RXE = 1 << 9;
const INT_RX = 1 << 4;
const INT_TX = 1 << 5;
const INT_RX_TIMEOUT = 1 << 6;
const INT_OVERRUN = 1 << 10;
const DR_FRAMING = 1 << 8;
const DR_OVERRUN = 1 << 11;
const FIFO_DEPTH = 32;
const FRAME_BITS = 10;
const TIMEOUT_BITS = 32;
/** FIFO levels that IFLS selects: one eighth, a quarter, half, three quarters, seven eighths. */
const LEVELS = [4, 8, 16, 24, 28] as const;

/** The line that a UART is wired to. */
export interface UartLine {
  /** A byte has left, its stop bit ended now. `baud`: the rate it was sent at. */
  sent(byte: number, baud: number): void;
}

/** 8N1 with FIFOs only; the divider counts from the write to LCR_H that follows it, as on silicon. */
export class Uart extends BasePeripheral {
  readonly #irq: number;
  readonly #line: UartLine;
  readonly #pins: { readonly tx: number; readonly rx: number };
  readonly #rx = new FIFO(FIFO_DEPTH);
  readonly #tx = new FIFO(FIFO_DEPTH);
  readonly #txAlarm: ReturnType<RP2040["clock"]["createAlarm"]>;
  readonly #timeout: ReturnType<RP2040["clock"]["createAlarm"]>;
  #shifting = -1;
  #ibrd = 0;
  #fbrd = 0;
  #divider = 0;
  #lcr = 0;
  #cr = CR_TXE | CR_RXE;
  /** When it was disabled, ns; it may still be sending. */
  #disabledNs = Number.NEGATIVE_INFINITY;
  #ifls = 0x12;
  #mask = 0;
  #raw = 0;
  #overrunPending = false;
  /** Received bytes lost because the FIFO was full, or the receiver off. */
  overruns = 0;

  readonly #restBits: number;

  /** `restBits`: see `PartTimes`. */
  constructor(chip: RP2040, irq: number, pins: { tx: number; rx: number }, line: UartLine, restBits: number) {
    super(chip, `UART${irq - 20}`);
    this.#irq = irq;
    this.#pins = pins;
    this.#line = line;
    this.#restBits = restBits;
    this.#txAlarm = chip.clock.createAlarm(() => this.#frameSent());
    this.#timeout = chip.clock.createAlarm(() => this.#raise(INT_RX_TIMEOUT));
  }

  /** Bits a second, 0 while not set up. */
  get baud(): number {
    return this.#divider ? this.rp2040.clkPeri / (16 * this.#divider) : 0;
  }

  reset(): void {
    this.#txAlarm.cancel();
    this.#timeout.cancel();
    this.#rx.reset();
    this.#tx.reset();
    this.#shifting = -1;
    this.#divider = this.#ibrd = this.#fbrd = this.#lcr = this.#mask = this.#raw = 0;
    this.#cr = CR_TXE | CR_RXE;
    this.#ifls = 0x12;
    this.#interrupt();
  }

  /** A byte has come over the line; its stop bit ended now. `garbled`: it was sent at another rate. */
  receive(byte: number, garbled: boolean): void {
    if (!this.#listening() || this.#rx.full) {
      this.overruns++;
      if (this.#rx.full) {
        this.#overrunPending = true;
        this.#raise(INT_OVERRUN);
      }
      return;
    }
    this.#rx.push(byte | (garbled ? DR_FRAMING : 0) | (this.#overrunPending ? DR_OVERRUN : 0));
    this.#overrunPending = false;
    this.#timeout.schedule((TIMEOUT_BITS * 1e9) / this.baud);
    if (this.#rx.itemCount === LEVELS[(this.#ifls >> 3) & 7]) this.#raise(INT_RX);
  }

  #listening(): boolean {
    const on = CR_UARTEN | CR_RXE;
    const pin = this.rp2040.gpio[this.#pins.rx]!;
    return (this.#cr & on) === on && this.#divider > 0 && pin.functionSelect === 2 && pin.inputEnable;
  }

  override readUint32(offset: number): number {
    switch (offset) {
      case DR:
        return this.#readData();
      case RSR:
        return 0;
      case FR:
        return this.#flags();
      case IBRD:
        return this.#ibrd;
      case FBRD:
        return this.#fbrd;
      case LCR_H:
        return this.#lcr;
      case CR:
        return this.#cr;
      case IFLS:
        return this.#ifls;
      case IMSC:
        return this.#mask;
      case RIS:
        return this.#raw;
      case MIS:
        return this.#raw & this.#mask;
    }
    return super.readUint32(offset);
  }

  override writeUint32(offset: number, value: number): void {
    if (offset === DR) this.#writeData(value & 0xff);
    else if (offset === RSR) this.#overrunPending = false;
    else if (offset === IBRD) this.#ibrd = value & 0xffff;
    else if (offset === FBRD) this.#fbrd = value & 0x3f;
    else if (offset === LCR_H) this.#writeLineControl(value);
    else if (offset === CR) this.#writeControl(value & 0xff87);
    else if (offset === IFLS) this.#ifls = value & 0x3f;
    else if (offset === IMSC) this.#mask = value & 0x7ff;
    else if (offset === ICR) this.#raw &= ~this.rawWriteValue;
    else super.writeUint32(offset, value);
    if (offset >= IMSC) this.#interrupt();
  }

  #flags(): number {
    return (
      (this.#tx.empty ? FR_TXFE : 0) |
      (this.#rx.full ? FR_RXFF : 0) |
      (this.#tx.full ? FR_TXFF : 0) |
      (this.#rx.empty ? FR_RXFE : 0) |
      (this.#shifting >= 0 ? FR_BUSY : 0)
    );
  }

  #readData(): number {
    if (this.#rx.empty) refuse(`${this.name}: data read while the receive FIFO is empty`);
    const value = this.#rx.pull();
    if (this.#rx.itemCount < LEVELS[(this.#ifls >> 3) & 7]!) this.#raw &= ~INT_RX;
    if (this.#rx.empty) {
      this.#raw &= ~INT_RX_TIMEOUT;
      this.#timeout.cancel();
    }
    this.#interrupt();
    return value;
  }

  #writeControl(value: number): void {
    if ((this.#cr & ~value & CR_UARTEN) !== 0) this.#disabledNs = this.rp2040.clock.nanos;
    this.#cr = value;
  }

  #writeLineControl(value: number): void {
    const bits = ((this.rp2040.clock.nanos - this.#disabledNs) * this.baud) / 1e9;
    if (bits < this.#restBits)
      refuse(`${this.name}: line control written ${bits.toFixed(1)} bit times after the disable`);
    if ((this.#cr & CR_UARTEN) !== 0) refuse(`${this.name}: line control written while it is enabled`);
    this.#lcr = value & 0xff;
    const wanted = LCR_8_BITS | LCR_FEN;
    if (value !== 0 && (value & LCR_FRAME) !== (wanted & LCR_FRAME) && (value & LCR_FRAME) !== LCR_8_BITS) {
      refuse(`${this.name}: line control 0x${value.toString(16)} is not 8N1`);
    }
    this.#divider = this.#ibrd + this.#fbrd / 64;
  }

  #writeData(byte: number): void {
    const on = CR_UARTEN | CR_TXE;
    if ((this.#cr & on) !== on || !(this.baud > 0))
      refuse(`${this.name}: data written while it is not set up`);
    if ((this.#lcr & LCR_FEN) === 0) refuse(`${this.name}: used without its FIFOs`);
    if (this.#tx.full) refuse(`${this.name}: data written while the transmit FIFO is full`);
    if (this.rp2040.gpio[this.#pins.tx]!.functionSelect !== 2)
      refuse(`${this.name}: transmit pin is not given to it`);
    this.#tx.push(byte);
    if (this.#tx.itemCount > LEVELS[this.#ifls & 7]!) this.#raw &= ~INT_TX;
    if (this.#shifting < 0) this.#shiftNext();
    this.#interrupt();
  }

  #shiftNext(): void {
    const before = this.#tx.itemCount;
    if (before === 0) return;
    this.#shifting = this.#tx.pull();
    this.#txAlarm.schedule((FRAME_BITS * 1e9) / this.baud);
    const level = LEVELS[this.#ifls & 7]!;
    if (before > level && before - 1 <= level) this.#raise(INT_TX);
  }

  #frameSent(): void {
    const byte = this.#shifting;
    this.#shifting = -1;
    this.#line.sent(byte, this.baud);
    this.#shiftNext();
  }

  #raise(bits: number): void {
    this.#raw |= bits;
    this.#interrupt();
  }

  #interrupt(): void {
    this.rp2040.setInterrupt(this.#irq, (this.#raw & this.#mask) !== 0);
  }
}
