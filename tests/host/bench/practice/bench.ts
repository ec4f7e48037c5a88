// A practice bench in virtual time with the demo car, its settings in flash already unless told otherwise, and a cable that only remembers.
import { mkdtempSync, readFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { RESTED_US } from "#host/bench/board/boot.ts";
import { EmulatedBoard } from "#host/bench/board/emulated-board.ts";
import { PracticeDisk } from "#host/bench/practice/boot-disk.ts";
import { act, type Practice } from "#host/bench/practice/hands.ts";
import { liveValues } from "#host/bench/practice/live.ts";
import { PracticeBench, type PracticeOptions } from "#host/bench/practice/practice-bench.ts";
import { FLASH } from "#shared-schema/model/blocks.ts";
import { INTERLOCKS, interlocksIn, MODES } from "#shared-schema/model/interlocks.ts";
import { demoEntry, flashWith } from "../../../support/driven.ts";
import { RELEASED } from "../../../support/native-core.ts";

const DEMO = demoEntry();
const FILLED = flashWith(DEMO.settings).bytes.subarray(FLASH.dataStart);

/** A bench and what its controller says. */
export class TestPractice implements Practice {
  readonly folder = mkdtempSync(join(tmpdir(), "headgate-test-"));
  readonly bench: PracticeBench;
  readonly cable = {
    plugged: true,
    pull: async () => {
      this.cable.plugged = false;
    },
    plug: async () => {
      this.cable.plugged = true;
    },
  };
  /** Contents that were handed out to be kept, the last ones. */
  kept: Uint8Array | undefined;

  constructor(stored = true, more: Partial<PracticeOptions> = {}) {
    const board = new EmulatedBoard({ image: readFileSync(`${RELEASED}headgate.uf2`) });
    if (stored) board.flash.bytes.set(FILLED, FLASH.dataStart);
    this.bench = new PracticeBench({
      board,
      carFor: () => DEMO,
      unset: DEMO.settings,
      disk: new PracticeDisk(board, join(this.folder, "volume")),
      onFlash: (bytes) => {
        this.kept = bytes.slice();
      },
      ...more,
    });
    this.bench.power(true);
    this.bench.runFor(RESTED_US);
  }

  /** Does what the words say, and lets a moment go by. */
  async do(words: string, ms = 0): Promise<string> {
    const said = await act(this, words.split(" "));
    if (ms > 0) this.bench.runFor(ms * 1000);
    return said;
  }

  /** Drives a launch to its end in virtual time. */
  async launch(time: string): Promise<void> {
    const over = act(this, ["run", time]);
    while (this.bench.driving) this.bench.runFor(10_000);
    await over;
  }

  private get live(): Record<string, number> {
    return liveValues(this.bench.board) as Record<string, number>;
  }

  get mode(): string | undefined {
    return MODES[this.live.mode!];
  }
  get flowing(): number {
    return this.live.flowing!;
  }
  get reasons(): string[] {
    return interlocksIn(this.live.reasons!).map(({ id }) => id);
  }
  get trip(): string | undefined {
    return INTERLOCKS[this.live.trip!]?.id;
  }

  /** Armed at the line with the pedal down, then gone: stages flow. */
  async flow(): Promise<void> {
    for (const words of ["bottle-valve on", "enrich on", "launch on"]) await this.do(words);
    this.bench.runFor(300_000);
    await this.do("arm on", 400);
    await this.do("pedal 100%", 400);
    await this.do("launch off");
    await this.do("brake off");
    for (let ms = 0; ms < 3000 && this.flowing === 0; ms += 10) this.bench.runFor(10_000);
  }
}
