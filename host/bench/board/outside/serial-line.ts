// The serial line between host and board: bytes take their time in both directions, and only like rates understand each other.
import type { VirtualAlarm, VirtualClock } from "../clock.ts";

/** Rate of a board that nobody told otherwise, bits a second. */
export const DEFAULT_BAUD = 115_200;
const FRAME_BITS = 10;
/** Rates further apart than this garble bytes: half a bit over a frame of ten (common practice, no source). */
const MAX_MISMATCH = 0.04;
/** What a byte at the wrong rate becomes: anything but itself, and not the same in both directions. */
const GARBLE_FROM_HOST = 0xff;
const GARBLE_FROM_BOARD = 0xa5;

/** The host's end of the line. */
export class SerialLine {
  /** The host's rate, bits a second. */
  baud = DEFAULT_BAUD;
  /** Bytes that have come from the board, one by one as their frames end. */
  onByte: (byte: number) => void = () => {};
  /** Frames the host sends go here as they end; set by the board while it has power. */
  deliver: ((byte: number, garbled: boolean) => void) | undefined;
  /** The board's rate now, 0 while it is not set up; set by the board. */
  boardBaud: () => number = () => 0;
  readonly #clock: VirtualClock;
  readonly #alarm: VirtualAlarm;
  #queue: number[] = [];
  #next = 0;

  constructor(clock: VirtualClock) {
    this.#clock = clock;
    this.#alarm = clock.createAlarm(() => this.#frameEnds());
  }

  /** Bytes that the host has sent and that have not left yet. */
  get unsent(): number {
    return this.#queue.length - this.#next;
  }

  /** Queues bytes for the board. */
  send(bytes: Uint8Array): void {
    for (const byte of bytes) this.#queue.push(byte);
    if (!this.#alarm.scheduled && this.unsent > 0) this.#startFrame();
  }

  /** Drops what has not left yet. */
  dropUnsent(): void {
    this.#queue = [];
    this.#next = 0;
    this.#alarm.cancel();
  }

  /** A frame from the board has ended. */
  receive(byte: number, baud: number): void {
    this.onByte(this.#matches(baud) ? byte : byte ^ GARBLE_FROM_BOARD);
  }

  #matches(baud: number): boolean {
    return Math.abs(baud / this.baud - 1) <= MAX_MISMATCH;
  }

  #startFrame(): void {
    this.#alarm.scheduleAt(this.#clock.nanos + (FRAME_BITS * 1e9) / this.baud);
  }

  #frameEnds(): void {
    const byte = this.#queue[this.#next++]!;
    if (this.unsent === 0) this.dropUnsent();
    else this.#startFrame();
    const garbled = !this.#matches(this.boardBaud());
    this.deliver?.(garbled ? byte ^ GARBLE_FROM_HOST : byte, garbled);
  }
}
