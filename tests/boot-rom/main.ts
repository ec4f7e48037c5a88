// Command for developers: the committed image from a real boot ROM's reset vector to the main loop, and its first flash work.
// npm run boot-rom -- ROM.BIN   (16 KiB; where one comes from is in DEVELOPERS.md)
import { readFileSync } from "node:fs";
import { EmulatedBoard } from "#host/bench/board/emulated-board.ts";
import { startRealRom } from "./real-rom.ts";
import type { FlashCounts } from "./serial-ssi.ts";

const IMAGE = new URL("../../firmware/image/", import.meta.url);
const LONGEST_START_US = 1_000_000;
const REST_US = 300_000;
/** Where the second boot stage runs: the last 256 bytes of the second small bank of SRAM. */
const BOOT2_AT = 0x20041f00;
const STEPS: readonly (readonly [where: string | number, words: string])[] = [
  [BOOT2_AT, "second boot stage: its check sum has passed"],
  ["reset_handler", "start-up stub in flash"],
  ["board_main", "clocks run, program copied to RAM"],
  ["w2c_core_boot", "image checked against its own CRC"],
  ["w2c_core_tick", "first tick of the main loop"],
];

function run(romPath: string): boolean {
  const rom = new Uint8Array(readFileSync(romPath));
  let counts: FlashCounts | undefined;
  const board = new EmulatedBoard({
    image: readFileSync(new URL("headgate.uf2", IMAGE)),
    elf: readFileSync(new URL("headgate.elf", IMAGE)),
    startRom: (chip) => {
      counts = startRealRom(chip, rom);
    },
  });
  const left = new Set(STEPS);
  for (const step of STEPS) {
    board.watch(step[0], () => {
      if (!left.delete(step)) return;
      process.stdout.write(`${(board.nowNs / 1e6).toFixed(3).padStart(9)} ms  ${step[1]}\n`);
    });
  }
  board.powerOn();
  board.runUntil(() => left.size === 0, LONGEST_START_US);
  board.runFor(REST_US);
  for (const [where, words] of left) process.stdout.write(`not reached: ${where}, ${words}\n`);
  const { reads, erases, programs } = counts!;
  process.stdout.write(
    `by the ROM's own code: ${reads} reads, ${erases} erases, ${programs} page programs\n`,
  );
  const good = left.size === 0 && erases > 0 && board.starts.length === 1;
  process.stdout.write(
    good ? "the image starts under this boot ROM\n" : "the image does NOT start under this boot ROM\n",
  );
  return good;
}

const [romPath] = process.argv.slice(2);
if (romPath === undefined) {
  process.stderr.write("usage: npm run boot-rom -- ROM.BIN\n");
  process.exitCode = 64;
} else process.exitCode = run(romPath) ? 0 : 1;
