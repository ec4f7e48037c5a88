// A run on the emulated board with all that its core read, tick by tick, and what the core had said after each tick.
import { BoardController } from "#host/bench/loop/board-controller.ts";
import { type Conditions, noise, under } from "#host/bench/loop/conditions.ts";
import { RunRandom } from "#host/bench/loop/random.ts";
import { rehearse } from "#host/bench/loop/rehearse.ts";
import type { Movement } from "#host/bench/loop/script.ts";
import { Capture } from "#host/replay/exact/capture.ts";
import type { ExactRun } from "#host/replay/exact/stream.ts";
import { LIVE } from "#shared-schema/link/columns.ts";
import { CORE_MEMORY_BYTES, OUTPUTS } from "#shared-schema/model/blocks.ts";
import { blockBytes } from "#shared-schema/model/layout.ts";
import { boardWith, type Entry } from "./driven.ts";

/** Bytes of the outputs; the mode comes after them in what was said. */
export const OUTPUT_BYTES = blockBytes(OUTPUTS);
const MODE_AT = 16;

/** What a core has said: its outputs, then mode, trip and the stages that flow. */
export function saidIn(memory: Uint8Array): Buffer {
  const live = memory.slice(LIVE.address + MODE_AT, LIVE.address + MODE_AT + 3);
  return Buffer.concat([memory.slice(OUTPUTS.address, OUTPUTS.address + OUTPUT_BYTES), live]);
}

/** A run from arming to off. */
export interface BoardTicks {
  readonly run: ExactRun;
  readonly said: readonly Buffer[];
}

/** Drives the released image; the script has its own end. Throws when it did not arm. */
export function boardTicks(
  entry: Entry,
  conditions: Conditions,
  { script, endS, seed }: { script: readonly Movement[]; endS: number; seed: number },
): BoardTicks {
  const { board } = boardWith(entry.settings);
  const capture = new Capture(0);
  const said: Buffer[] = [];
  board.watch("w2c_core_tick", () => {
    const memory = new Uint8Array(board.chip.rp2040.sram.buffer, 0, CORE_MEMORY_BYTES);
    if (said.length < (capture.run?.ticks.length ?? 0)) said.push(saidIn(memory));
    capture.look(memory, board.chip.rp2040.core.registers[1]!);
  });
  rehearse({
    ...under(entry, conditions),
    controller: new BoardController(board),
    settings: entry.settings,
    script,
    until: { atS: endS },
    endsByItself: true,
    disturb: noise(conditions, new RunRandom(seed, 0)),
  });
  if (!capture.run) throw new Error("the board did not arm");
  return { run: capture.run, said };
}
