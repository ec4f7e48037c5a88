// A board at full speed whose core sleeps for ever, so that a test can work its registers itself at exact times.
import type { EmulatedBoard } from "#host/bench/board/emulated-board.ts";
import { WFI } from "./assembler.ts";
import { boardWith, fullSpeed } from "./program.ts";

/** Registers of such a board, as the core would reach them. */
export interface Bench {
  readonly board: EmulatedBoard;
  read(address: number): number;
  write(address: number, value: number): void;
  /** True while an interrupt number is asked for. */
  interrupt(number: number): boolean;
}

/** Atomic aliases of a register: set and clear bits. */
export const SET = 0x2000;
export const CLEAR = 0x3000;

export function bench(): Bench {
  const board = boardWith((code) => fullSpeed(code).label("sleep").raw(WFI).branch("sleep"));
  board.at(Number.MAX_SAFE_INTEGER, () => {});
  board.run(10e6);
  const { core } = board.chip.rp2040;
  return {
    board,
    read: (address) => core.readUint32(address) >>> 0,
    write: (address, value) => core.writeUint32(address, value),
    interrupt: (number) => ((core.pendingInterrupts >> number) & 1) === 1,
  };
}

/** Gives a pin to a function, with its pad as after reset. */
export function pinFunction(to: Bench, gpio: number, number: number): void {
  to.write(0x40014004 + 8 * gpio, number);
}
