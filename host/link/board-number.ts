// The number of a board: drawn by the host at the first load and kept by the controller from then on. No host can change it.
import { randomInt } from "node:crypto";

/** Numbers have 24 bits: short enough to write on a case; two boards share one in one of 16 million cases. */
const NUMBERS = 2 ** 24;

/** Six hexadecimal digits of a number. */
export const boardIdOf = (number: number): string => (number % NUMBERS).toString(16).padStart(6, "0");

/** Text in place of a number for a board that has none. */
export const NO_BOARD_ID = boardIdOf(0);

/** A number for a board that has none, 1 to 2^24 - 1. */
export const drawBoardNumber = (): number => randomInt(1, NUMBERS);

/** Names a board within a sentence. */
export const boardWords = (boardId: string): string =>
  boardId === NO_BOARD_ID ? "a board without a number" : `board ${boardId}`;
