// The proving bench for tests: its settings, the released image, and the line to an emulated board.
import { readFileSync } from "node:fs";
import { EmulatedBoard } from "#host/bench/board/emulated-board.ts";
import type { TestBenchOptions } from "#host/bench/prove/test-bench.ts";
import { boardClient } from "#host/cli/bench/board-client.ts";
import { checkSettings } from "#host/settings/check.ts";
import type { Document } from "#shared-schema/settings/pack.ts";

const file = (path: string): URL => new URL(`../../${path}`, import.meta.url);
/** The released image, as a board takes it. */
export const RELEASED = {
  image: readFileSync(file("firmware/image/headgate.uf2")),
  elf: readFileSync(file("firmware/image/headgate.elf")),
};

function documentOf(path: string): Document {
  const { document, issues } = checkSettings(readFileSync(file(path), "utf8"));
  if (!document) throw new Error(`${path}: ${JSON.stringify(issues[0])}`);
  return document;
}

/** Settings of the proving bench. */
export const PROVING: Document = documentOf("host/demo/proving-bench.yaml");

/** Settings of the demo car: its only stages pulse, briefly at first. */
export const STREET: Document = documentOf("host/demo/street-coupe.yaml");

/** A board with the released image, without power. */
export const releasedBoard = (): EmulatedBoard => new EmulatedBoard(RELEASED);

/** Options of test benches with the released image; `prepare` is called with each board before it gets power. */
export function benchOptions(prepare: (board: EmulatedBoard) => void = () => {}): TestBenchOptions {
  const makeBoard = (): EmulatedBoard => {
    const board = releasedBoard();
    prepare(board);
    return board;
  };
  return { makeBoard, openClient: boardClient };
}
