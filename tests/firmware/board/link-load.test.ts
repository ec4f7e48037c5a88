// The tick keeps its time whatever the line brings: the longest requests and answers back to back at the fastest speed.
import { expect, test } from "vitest";
import { encodeFrame } from "#host/link/frame.ts";
import { encodePayload, type Values } from "#host/link/payload.ts";
import { BAUD_MAX, MAX_PAYLOAD, MESSAGES } from "#shared-schema/link/messages.ts";
import { BoardRig } from "./board-rig.ts";

const TICK_US = 1000;
const RUN_US = 60_000;
/** What the interrupts of a busy line may shift a tick by. */
const JITTER_US = 20;

function frameOf(name: string, values: Values, tail?: Uint8Array): Uint8Array {
  const { kind, request } = MESSAGES.find((message) => message.name === name)!;
  return encodeFrame({ sequence: 9, kind, payload: encodePayload(request, values, tail) });
}

/** Times between the core's ticks while these frames come in without a gap. */
function tickGapsUs(frames: readonly Uint8Array[]): number[] {
  const { board } = new BoardRig();
  board.serial.send(frameOf("baud", { baud: BAUD_MAX }));
  board.runFor(5000);
  board.serial.baud = BAUD_MAX;
  const starts: number[] = [];
  board.watch("w2c_core_tick", () => starts.push(board.nowNs / 1000));
  for (let bytes = 0, i = 0; bytes < (RUN_US * BAUD_MAX) / 1e7; i++) {
    const frame = frames[i % frames.length]!;
    board.serial.send(frame);
    bytes += frame.length;
  }
  board.runFor(RUN_US);
  return starts.slice(1).map((us, i) => us - starts[i]!);
}

/** So many different places in the log that the cache in front of the flash holds none of them. */
const PLACES = Array.from({ length: 60 }, (_, i) => i);
const logReads = PLACES.map((i) => frameOf("logRead", { offset: 1024 * i, length: MAX_PAYLOAD - 4 }));
const logHeads = PLACES.map((i) => frameOf("logHeads", { page: 31 * i, stride: 1, count: 31 }));

test.each([
  ["requests of the log", logReads],
  ["requests of heads", logHeads],
  ["pieces of settings", [frameOf("writeData", { id: 5, offset: 0 }, new Uint8Array(480).fill(7))]],
  [
    "both by turns",
    logReads.flatMap((read) => [
      frameOf("writeData", { id: 5, offset: 0 }, new Uint8Array(480).fill(7)),
      read,
    ]),
  ],
  ["zeros", [new Uint8Array(64)]],
  ["short rubbish", [Uint8Array.of(3, 7, 7, 0)]],
])("the tick is on time while %s come", (_, frames) => {
  const gaps = tickGapsUs(frames);
  expect(gaps.length).toBeGreaterThan(RUN_US / TICK_US - 2);
  for (const gap of gaps) expect(Math.abs(gap - TICK_US)).toBeLessThan(JITTER_US);
});
