// An emulated board that holds settings and a stored run, on a line that damages bytes both ways.
import { readFileSync } from "node:fs";
import { EmulatedBoard } from "#host/bench/board/emulated-board.ts";
import { type BoardLine, boardLine } from "#host/bench/board-line.ts";
import { LinkClient } from "#host/link/client.ts";
import { FLASH } from "#shared-schema/model/blocks.ts";
import { arm, smallSettings, standingCar, ticks } from "../oracle/stand.ts";
import { FlashLog } from "./flash-log.ts";
import { RELEASED } from "./native-core.ts";

const START_US = 700_000;
const AFTER_MS = 1000;

/** The flash chip of a core that has stored one run of about so many milliseconds. */
function flashWithRun(ms: number): Uint8Array {
  const car = standingCar(smallSettings());
  arm(car);
  ticks(car, ms);
  car.set("arm", false);
  ticks(car, AFTER_MS);
  new FlashLog(car.rig).settle();
  return car.rig.flash.bytes;
}

/** A started board whose log holds one run of about so many milliseconds. */
export function boardWithRun(ms: number): EmulatedBoard {
  const board = new EmulatedBoard({ image: readFileSync(`${RELEASED}headgate.uf2`) });
  const data = flashWithRun(ms).subarray(FLASH.logStart);
  board.flash.bytes.set(data, FLASH.logStart);
  board.powerOn();
  board.runFor(START_US);
  return board;
}

/** A client on a line of the board that replaces this share of the bytes, while its speed is at least `fromBaud` and `when` says so. */
export function noisyClient(
  board: EmulatedBoard,
  rate: number,
  dice: () => number,
  fromBaud = 0,
  when: () => boolean = () => true,
): { client: LinkClient; line: BoardLine } {
  const line = boardLine(board);
  const { serial } = board;
  const hurt = (byte: number): number =>
    serial.baud >= fromBaud && when() && dice() < rate ? Math.floor(dice() * 256) : byte;
  const { onByte } = serial;
  serial.onByte = (byte) => onByte(hurt(byte));
  const send = Object.getPrototypeOf(serial).send as typeof serial.send;
  serial.send = (bytes) => send.call(serial, bytes.map(hurt));
  return { client: new LinkClient(line, { clock: line.clock }), line };
}
