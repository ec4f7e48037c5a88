// A board whose program sends every byte back that it receives, waiting for each.
import type { EmulatedBoard } from "#host/bench/board/emulated-board.ts";
import { boardWith, fullSpeed } from "./program.ts";

const UART = 0x40034000;
const BAUD_115200 = { whole: 67, fraction: 52 };
/** lsls r1, r0, #27: bit 4, "receive FIFO empty", becomes the sign. */
const BIT_4_TO_SIGN = 0x06c1;
const BRANCH_BACK_IF_NEGATIVE = 0xd4fc;
const LOAD_FLAGS = 0x6990;
const LOAD_DATA = 0x6810;
const STORE_DATA = 0x6010;

export function echoBoard(): EmulatedBoard {
  const board = boardWith((code) =>
    fullSpeed(code)
      .poke(0x40014004, 2)
      .poke(0x4001400c, 2)
      .poke(UART + 0x24, BAUD_115200.whole)
      .poke(UART + 0x28, BAUD_115200.fraction)
      .poke(UART + 0x2c, 0x70)
      .poke(UART + 0x30, 0x301)
      .load(2, UART)
      .label("next")
      .raw(LOAD_FLAGS, BIT_4_TO_SIGN, BRANCH_BACK_IF_NEGATIVE, LOAD_DATA, STORE_DATA)
      .branch("next"),
  );
  board.runFor(6000);
  return board;
}
