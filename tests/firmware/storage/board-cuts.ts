// The released image on the emulated board, with the power cut in the middle of its flash operations or between instructions.

import { readFileSync } from "node:fs";
import { STARTED_US } from "#host/bench/board/boot.ts";
import { EmulatedBoard } from "#host/bench/board/emulated-board.ts";
import type { FlashOperation, PowerCut } from "#host/bench/board/outside/nor-flash.ts";
import type { PartTimes } from "#host/bench/board/part-times.ts";
import { decodeFrame } from "#host/link/frame.ts";
import { decodePayload, type Values } from "#host/link/payload.ts";
import { ANSWER_BIT, MESSAGES } from "#shared-schema/link/messages.ts";
import { type Torn, tearOf } from "../../support/failing-flash.ts";
import { RELEASED } from "../../support/native-core.ts";
import type { Random } from "../../support/random.ts";

const image = readFileSync(`${RELEASED}headgate.uf2`);
/** An answer is there by then, one that waits for erases too. */
const ANSWER_US = 2_200_000;
const LOOK_US = 200;

/** A board and its line, frame by frame. */
export class BoardUnderCut {
  readonly board: EmulatedBoard;
  private received: number[] = [];

  constructor(parts: Partial<PartTimes> = {}) {
    this.board = new EmulatedBoard({ image, parts });
    this.board.serial.onByte = (byte) => this.received.push(byte);
  }

  powerOn(): void {
    this.received = [];
    this.board.serial.dropUnsent();
    this.board.powerOn();
    this.board.runFor(STARTED_US);
  }

  /** Sends a request; payload of its answer, undefined when the power went first. Throws when another answer comes. */
  ask(name: string, bytes: Uint8Array): Uint8Array | undefined {
    const { board } = this;
    this.received = [];
    board.serial.send(bytes);
    const came = board.runUntil(() => this.received.at(-1) === 0 || !board.powered, ANSWER_US, LOOK_US);
    if (!board.powered) return undefined;
    const { kind } = MESSAGES.find((message) => message.name === name)!;
    const answer = decodeFrame(Uint8Array.from(this.received.slice(0, -1)));
    if (came && answer?.kind === (kind | ANSWER_BIT)) return answer.payload;
    throw new Error(`no answer to ${name} but ${this.received.join(" ")}`);
  }

  /** The same with the answer taken apart. */
  values(name: string, bytes: Uint8Array): Values {
    const { answer } = MESSAGES.find((message) => message.name === name)!;
    return decodePayload(answer, this.ask(name, bytes) ?? new Uint8Array())!.values;
  }
}

/** Makes the supply fail in an operation, after a part of its time, in one of the ways of `tearOf`; weak bits read by chance. */
export function cutOf(operation: FlashOperation, n: number, random: Random): PowerCut {
  const { contents, weak }: Torn = tearOf(operation, n, random);
  return { afterNs: operation.durationNs * ((1 + (n % 7)) / 8), contents, weak };
}

/** Weak bits of a board read otherwise than they stand in one or two of four readings. */
export function shaking(board: EmulatedBoard, random: Random): void {
  const flips = random.between(1, 2);
  board.flash.shake = () =>
    (random.bits(flips) |
      (random.bits(flips) << 8) |
      (random.bits(flips) << 16) |
      (random.bits(flips) << 24)) >>>
    0;
}
