// Runs of a car on the core rig or the emulated board, with the records that the core has stored of them.
import { BoardController } from "#host/bench/loop/board-controller.ts";
import { type Conditions, noise, under } from "#host/bench/loop/conditions.ts";
import { openConnectors } from "#host/bench/loop/connectors.ts";
import type { Controller } from "#host/bench/loop/controller.ts";
import type { Until } from "#host/bench/loop/drive.ts";
import { RunRandom } from "#host/bench/loop/random.ts";
import { rehearse } from "#host/bench/loop/rehearse.ts";
import { launchScript } from "#host/bench/loop/script.ts";
import { splitPages } from "#host/logbook/run-file/saved-pages.ts";
import { runOf } from "#host/logbook/runs.ts";
import { type Recorded, recordedRun } from "#host/replay/recorded.ts";
import { FLASH, TICK_US } from "#shared-schema/model/blocks.ts";
import { boardWith, type Entry, flashWith, rigWith } from "./driven.ts";
import { FlashLog } from "./flash-log.ts";

/** A run to make; `liftS`: the pedal comes up for a moment so long after the launch switch. */
export interface ToRecord {
  readonly entry: Entry;
  readonly conditions: Conditions;
  readonly seed: number;
  readonly until: Until;
  readonly liftS?: number | undefined;
}

const AFTER_TICKS = 600;
const STORING_US = 1_500_000;

function drive(controller: Controller, { entry, conditions, seed, until, liftS }: ToRecord): void {
  rehearse({
    ...under(entry, conditions),
    controller,
    settings: entry.settings,
    script: launchScript(entry.settings, { lateS: conditions.lateS, liftS }),
    until,
    disturb: noise(conditions, new RunRandom(seed, 0)),
  });
}

/** Records of the only run in the log area of a flash chip. */
export function recordsIn(flash: Uint8Array): Recorded[] {
  const pages = splitPages(flash.slice(FLASH.logStart, FLASH.logEnd));
  return recordedRun(
    runOf(
      pages.slice(
        0,
        pages.findIndex((page) => page[0] === 0xff),
      ),
    ).samples,
  );
}

/** On the core rig, whose stages had `before` ticks of turns before it. */
export function recordOnRig(run: ToRecord, before: number): Recorded[] {
  const controller = rigWith(flashWith(run.entry.settings), before);
  drive(controller, run);
  const { rig } = controller;
  for (let i = 0; i < AFTER_TICKS; i++) controller.run(openConnectors(), TICK_US);
  new FlashLog(rig).settle();
  return recordsIn(rig.flash.bytes);
}

/** On the emulated board, with the released image. */
export function recordOnBoard(run: ToRecord): Recorded[] {
  const { board } = boardWith(run.entry.settings);
  drive(new BoardController(board), run);
  board.runFor(STORING_US);
  return recordsIn(board.flash.bytes);
}
