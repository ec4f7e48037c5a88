// Can the proof fail? Each interlock is switched off, in a test build of the core or in the board layer, and its row must then fail.
import { expect, test } from "vitest";
import type { EmulatedBoard } from "#host/bench/board/emulated-board.ts";
import { ROW_IDS, scenariosOf } from "#host/bench/prove/catalogue.ts";
import { isFitted, prove } from "#host/bench/prove/prove.ts";
import { interlockNumber } from "#shared-schema/model/interlocks.ts";
import { sample } from "../../../support/effort.ts";
import { hostCore } from "../../../support/hosted-core.ts";
import { benchOptions, PROVING } from "../../../support/proving.ts";
import { switchableCore, switchOff } from "../../../support/switchable-core.ts";

const EVERY = 17;
/** A `bx lr` at a function's entry: it does nothing. */
const DO_NOTHING = Uint8Array.of(0x70, 0x47);
const LOOP_FOR_EVER = Uint8Array.of(0xfe, 0xe7);
const WATCHDOG_LOAD = 0x40058004;
const LONG = 0xffffff;

const rows = sample(ROW_IDS, EVERY);
const module = await switchableCore();

/** Does something to the program in RAM each time that it has been started. */
function atStart(board: EmulatedBoard, action: () => void): void {
  board.watch("stages_start", action);
}

/** What the core does not decide: the arm switch's interrupt, the trap handler, the watchdog. */
const IN_BOARD: Readonly<Record<string, (board: EmulatedBoard) => void>> = {
  ARM: (board) => atStart(board, () => board.patch("stages_cut", DO_NOTHING)),
  TRAP: (board) => atStart(board, () => board.patch("trap", LOOP_FOR_EVER)),
  HANG: (board) => board.watch("watchdog_feed", () => feedForLong(board)),
};

/** The watchdog is fed once for a long time and never again, so that it does not bite when it should. */
function feedForLong(board: EmulatedBoard): void {
  const { core } = board.chip.rp2040;
  board.chip.rp2040.writeUint32(WATCHDOG_LOAD, LONG);
  core.PC = core.registers[14]! & ~1;
}

function withoutRow(id: string): (board: EmulatedBoard) => void {
  return (board) => {
    hostCore(board, module, (rig) => (IN_BOARD[id] ? undefined : switchOff(rig, interlockNumber(id))));
    IN_BOARD[id]?.(board);
  };
}

const first = (id: string) =>
  scenariosOf(id)
    .filter((scenario) => isFitted(scenario, PROVING))
    .slice(0, 1);

test("with nothing switched off the test build passes", async () => {
  const scenarios = rows.flatMap(first);
  const findings = await prove(PROVING, { ...benchOptions((board) => hostCore(board, module)), scenarios });
  expect(findings.filter(({ outcome }) => outcome !== "passed")).toEqual([]);
});

test.each(rows)("%s switched off is noticed", async (id) => {
  const findings = await prove(PROVING, { ...benchOptions(withoutRow(id)), scenarios: first(id) });
  expect(findings.map(({ outcome }) => outcome)).toEqual(["failed"]);
});
