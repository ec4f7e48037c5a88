// A change of the line's speed on the board: the UART rests as long as its maker's own code lets it, and no tick waits for that.
import { describe, expect, test } from "vitest";
import { encodeFrame } from "#host/link/frame.ts";
import { encodePayload } from "#host/link/payload.ts";
import { BAUD_DEFAULT, MESSAGES } from "#shared-schema/link/messages.ts";
import { BoardRig } from "./board-rig.ts";

/** Line control and control of a PL011. */
const LCR_H = 0x2c;
const CR = 0x30;
/** The chip maker's code waits so many bit times between the disable and the write of the line control (pico-sdk, uart.c, from memory). */
const REST_BITS = 15;
const SLOWEST_BAUD = 9600;
const TICK_US = 1000;
/** What an interrupt may shift a tick by. */
const JITTER_US = 20;

function baudRequest(sequence: number, baud: number): Uint8Array {
  const { kind, request } = MESSAGES.find(({ name }) => name === "baud")!;
  return encodeFrame({ sequence, kind, payload: encodePayload(request, { baud }) });
}

interface Change {
  readonly restUs: number;
  readonly tickGapsUs: readonly number[];
}

/** Asks for a speed at another one; what the UART's registers and the ticks did. */
function change(fromBaud: number, toBaud: number): Change {
  const rig = new BoardRig({ restBits: 0 });
  const { board } = rig;
  if (fromBaud !== BAUD_DEFAULT) {
    board.serial.send(baudRequest(1, fromBaud));
    board.runFor(30_000);
    board.serial.baud = fromBaud;
  }
  const { uart0 } = board.chip;
  const write = uart0.writeUint32.bind(uart0);
  let disabledNs = Number.NaN;
  let restUs = Number.NaN;
  uart0.writeUint32 = (offset, value) => {
    if (offset === CR && (value & 1) === 0) disabledNs = board.nowNs;
    if (offset === LCR_H) restUs = (board.nowNs - disabledNs) / 1000;
    write(offset, value);
  };
  const starts: number[] = [];
  board.watch("w2c_core_tick", () => starts.push(board.nowNs / 1000));
  board.serial.send(baudRequest(2, toBaud));
  board.runFor(80_000);
  expect(uart0.baud / toBaud).toBeCloseTo(1, 2);
  return { restUs, tickGapsUs: starts.slice(1).map((us, i) => us - starts[i]!) };
}

describe("a change of the line's speed", () => {
  test.each([
    [SLOWEST_BAUD, BAUD_DEFAULT],
    [BAUD_DEFAULT, SLOWEST_BAUD],
  ])(
    "from %i to %i baud: the UART rests for 15 bit times of the old speed, a few ticks at most",
    (from, to) => {
      const { restUs, tickGapsUs } = change(from, to);
      expect(restUs).toBeGreaterThanOrEqual((REST_BITS * 1e6) / from);
      expect(restUs).toBeLessThan((REST_BITS * 1e6) / from + 2 * TICK_US);
      for (const us of tickGapsUs) expect(Math.abs(us - TICK_US)).toBeLessThanOrEqual(JITTER_US);
    },
  );
});
