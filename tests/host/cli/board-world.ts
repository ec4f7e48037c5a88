// A world whose only line leads to an emulated board; the tool's clock is the board's virtual time.

import { readFileSync } from "node:fs";
import { join } from "node:path";
import { PassThrough, Readable, Writable } from "node:stream";
import { STARTED_US } from "#host/bench/board/boot.ts";
import { EmulatedBoard } from "#host/bench/board/emulated-board.ts";
import type { PartTimes } from "#host/bench/board/part-times.ts";
import { Pump } from "#host/bench/board/pump.ts";
import { boardLine } from "#host/bench/board-line.ts";
import type { Io } from "#host/cli/io.ts";
import { runCli } from "#host/cli/program.ts";
import { FLASH } from "#shared-schema/model/blocks.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import { driveBoard } from "../../support/driven.ts";
import { RELEASED } from "../../support/native-core.ts";
import { tempFolder } from "../../support/temp-folder.ts";

const STORING_US = 1_500_000;

class Remembered extends Writable {
  text = "";
  columns: number | undefined;
  isTTY = false;
  onText: (text: string) => void = () => {};

  override _write(chunk: Buffer, _: BufferEncoding, done: () => void): void {
    this.text += chunk.toString();
    this.onText(this.text);
    done();
  }
}

/** What one run of the tool printed, and its JSON document with `--json`. */
export interface Ran {
  readonly exit: number;
  readonly stdout: string;
  readonly stderr: string;
  json(): Record<string, unknown>;
}

/** A powered board with the released image, and a folder; `data` lies in its flash from where the program keeps its own. */
export class BoardWorld {
  readonly folder: string;
  readonly board: EmulatedBoard;
  columns: number | undefined;
  env: Record<string, string> = {};
  now = new Date("2026-05-01T10:20:30Z");
  /** Output goes to a terminal. */
  terminal = false;
  /** What somebody at a terminal answers, question by question; with none nobody is there. */
  answers: string[] = [];
  private readonly clock: Pump;

  constructor(
    image = readFileSync(`${RELEASED}headgate.uf2`),
    folder = tempFolder(),
    parts: Partial<PartTimes> = {},
    data?: Uint8Array,
  ) {
    this.folder = folder;
    this.board = new EmulatedBoard({ image, parts });
    if (data) this.board.flash.bytes.set(data, FLASH.dataStart);
    this.clock = new Pump(this.board);
    this.board.powerOn();
    this.board.runFor(STARTED_US);
  }

  read(name: string): string {
    return readFileSync(join(this.folder, name), "utf8");
  }

  /** The input, closed unless there are answers; each is typed when it is asked for. */
  private stdin(asking: Remembered): Io["stdin"] {
    if (this.answers.length === 0) return Readable.from([]);
    const input = new PassThrough();
    asking.isTTY = true;
    asking.onText = (text) => {
      if (text.endsWith("[y/N] ")) setImmediate(() => input.write(`${this.answers.shift() ?? ""}\n`));
    };
    return Object.assign(input, { isTTY: true });
  }

  /** Runs the tool once. */
  async run(...args: string[]): Promise<Ran> {
    const [out, err] = [new Remembered(), new Remembered()];
    for (const screen of [out, err]) Object.assign(screen, { isTTY: this.terminal, columns: this.columns });
    const exit = await runCli(args, {
      stdin: this.stdin(err),
      stdout: out,
      stderr: err,
      env: { HEADGATE_DATA: join(this.folder, "data"), ...this.env },
      cwd: this.folder,
      signal: new AbortController().signal,
      clock: this.clock,
      now: () => this.now,
      openLine: () => Promise.resolve(boardLine(this.board)),
      listPorts: () => Promise.resolve([{ path: "/dev/ttyTest", vendorId: "1209", productId: "0001" }]),
    });
    const json = (): Record<string, unknown> => JSON.parse(out.text) as Record<string, unknown>;
    return { exit, stdout: out.text, stderr: err.text, json };
  }
}

/** What a board keeps in its flash beside the program: for a world of its own. */
export const dataOf = ({ board }: BoardWorld): Uint8Array => board.flash.bytes.slice(FLASH.dataStart);

/** Arms, a moment with the pedal down, off; the board then has time to store the run. */
export function drive(world: BoardWorld, settings: Document): void {
  const script = [
    { atS: 0.4, change: { arm: true, bottleValve: true, enrich: true }, words: "arm" },
    { atS: 0.9, change: { pedal: 1, hold: false }, words: "pedal" },
    { atS: 1.4, change: { arm: false, pedal: 0 }, words: "off" },
  ];
  driveBoard(world.board, settings, script, 1.5);
  world.board.runFor(STORING_US);
}
