// A run on the emulated board: what its core had said after each tick, and the flash chip in which it has stored the run.
import { BoardController } from "#host/bench/loop/board-controller.ts";
import { type Conditions, noise, under } from "#host/bench/loop/conditions.ts";
import { RunRandom } from "#host/bench/loop/random.ts";
import { rehearse } from "#host/bench/loop/rehearse.ts";
import type { Movement } from "#host/bench/loop/script.ts";
import { MODES } from "#shared-schema/model/modes.ts";
import { boardWith, type Entry } from "./driven.ts";
import { OUTPUT_BYTES, saidIn, tickPagesIn } from "./stored-ticks.ts";

const ARMING = MODES.indexOf("arming");
/** Half a second is recorded after the end; then a page takes some milliseconds. */
const STORING_US = 2_500_000;

/** A run from the tick after the one in which arming began. */
export interface BoardTicks {
  readonly pages: readonly Uint8Array[];
  readonly said: readonly Buffer[];
}

/** Drives the released image; the script has its own end. */
export function boardTicks(
  entry: Entry,
  conditions: Conditions,
  { script, endS, seed }: { script: readonly Movement[]; endS: number; seed: number },
): BoardTicks {
  const { board } = boardWith(entry.settings);
  const said: Buffer[] = [];
  board.watch("w2c_core_keepTick", () => {
    const memory = board.chip.rp2040.sram;
    const now = saidIn(memory);
    if (said.length > 0 || now[OUTPUT_BYTES] === ARMING) said.push(now);
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
  board.runFor(STORING_US);
  return { pages: tickPagesIn(board.flash.bytes), said: said.slice(1) };
}
