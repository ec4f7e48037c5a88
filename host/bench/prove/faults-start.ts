// Faults that are there at start: arm switch on, settings missing or wrong, a damaged program. Nothing may ever flow.
import { crc32c } from "#host/codec/crc32c.ts";
import { FINGERPRINT } from "#shared-schema/generated/fingerprint.ts";
import { FLASH } from "#shared-schema/model/blocks.ts";
import { MODES } from "#shared-schema/model/interlocks.ts";
import { column } from "./board-client.ts";
import { reasonProblems } from "./reactions.ts";
import type { Scenario, Trial } from "./scenario.ts";
import type { TestBench } from "./test-bench.ts";

const WATCH_US = 500_000;
const SRAM_BASE = 0x20000000;
const SAMPLE_BYTES = 16;

/** Watches a while in which nothing may flow; the reason must be told, in mode off. */
async function heldAtStart(bench: TestBench, row: string, fromNs: number): Promise<string[]> {
  bench.board.runFor(WATCH_US);
  const live = await bench.client.status();
  const mode = MODES[column(live, "mode")];
  return [
    ...reasonProblems(bench, live, row, ["ARM", "ARM-BOOT"]),
    ...(mode === "off" ? [] : [`mode is ${mode}`]),
    ...(bench.anyHighSince(fromNs) ? ["something flowed"] : []),
    ...(bench.board.harness.relay.closed ? ["the master relay is closed"] : []),
  ];
}

const flows = (bench: TestBench): string[] => (bench.toFlow() ? [] : ["no flow after the cause was gone"]);

async function armedAtPower(bench: TestBench): Promise<Trial> {
  const fromNs = bench.rest();
  bench.board.powerOff();
  bench.board.harness.setSwitch("arm", true);
  bench.board.runFor(WATCH_US / 5);
  bench.board.powerOn();
  const wrong = await heldAtStart(bench, "ARM-BOOT", fromNs);
  return { wrong: [...wrong, ...flows(bench)] };
}

/** Changes flash without power, starts, tries to arm, changes it back, starts again. */
function spoiltFlash(row: string, spoil: (bench: TestBench) => void): (bench: TestBench) => Promise<Trial> {
  return async (bench) => {
    const before = bench.board.flash.bytes.slice();
    const fromNs = bench.rest();
    spoil(bench);
    bench.powerCycle();
    bench.cycleArm();
    const wrong = await heldAtStart(bench, row, fromNs);
    bench.board.flash.bytes.set(before);
    bench.powerCycle();
    return { wrong: [...wrong, ...flows(bench)] };
  };
}

const slotsOf = (bench: TestBench): Uint8Array => bench.board.flash.bytes.subarray(FLASH.slotA);

/** First byte of the header of the slot that holds the settings. */
function headerAt(slots: Uint8Array): number {
  const view = new DataView(slots.buffer, slots.byteOffset, slots.byteLength);
  for (let at = 0; at < slots.length; at += FLASH.page)
    for (let word = 0; word < FLASH.page; word += 4)
      if (view.getUint32(at + word, true) === FINGERPRINT) return at;
  throw new Error("no stored settings were found in flash");
}

/** Another fingerprint under a right check sum: settings of another program. */
function otherSchema(bench: TestBench): void {
  const slots = slotsOf(bench);
  const header = slots.subarray(headerAt(slots)).subarray(0, FLASH.page);
  const view = new DataView(header.buffer, header.byteOffset, header.byteLength);
  const words = Array.from({ length: FLASH.page / 4 }, (_, i) => 4 * i);
  const sum = words.find((at) => at > 0 && view.getUint32(at, true) === crc32c(header.subarray(0, at)));
  const print = words.find((at) => view.getUint32(at, true) === FINGERPRINT);
  if (sum === undefined || print === undefined)
    throw new Error("the header of the settings is not as expected");
  view.setUint32(print, FINGERPRINT ^ 1, true);
  view.setUint32(sum, crc32c(header.subarray(0, sum)), true);
}

/** One bit in the settings behind the header. */
function wrongBit(bench: TestBench): void {
  const slots = slotsOf(bench);
  slots[headerAt(slots) + FLASH.page + 10]! ^= 4;
}

/** One bit in a function that only an update runs, so that everything else still works. */
function wrongProgram(bench: TestBench): void {
  const { board } = bench;
  const at = (board.symbols.find("rom_enter_bootloader").address & ~1) - SRAM_BASE;
  const code = Buffer.from(board.chip.rp2040.sram.subarray(at, at + SAMPLE_BYTES));
  const place = Buffer.from(board.flash.bytes.buffer, 0, FLASH.dataStart).indexOf(code);
  if (place < 0) throw new Error("the function was not found in flash");
  board.flash.bytes[place + 6]! ^= 1;
}

function start(row: string, fault: string, run: (bench: TestBench) => Promise<Trial>): Scenario {
  return { row, fault, trials: 1, run };
}

/** All of them. */
export const START_FAULTS: readonly Scenario[] = [
  start("ARM-BOOT", "arm switch on when power comes", armedAtPower),
  start(
    "SETTINGS",
    "no settings stored",
    spoiltFlash("SETTINGS", (bench) => void slotsOf(bench).fill(0xff)),
  ),
  start("SETTINGS", "settings of another schema", spoiltFlash("SETTINGS", otherSchema)),
  start("SETTINGS", "one wrong bit in the stored settings", spoiltFlash("SETTINGS", wrongBit)),
  start("IMAGE", "one wrong bit in the program", spoiltFlash("IMAGE", wrongProgram)),
];
