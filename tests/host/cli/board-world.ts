// A world whose only line leads to an emulated board; the tool's clock is the board's virtual time.
import { mkdtempSync, readFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { Readable, Writable } from "node:stream";
import { EmulatedBoard } from "#host/bench/board/emulated-board.ts";
import { Pump } from "#host/bench/board/pump.ts";
import { boardLine } from "#host/bench/board-line.ts";
import { runCli } from "#host/cli/program.ts";
import { RELEASED } from "../../support/native-core.ts";

const START_US = 100_000;

class Remembered extends Writable {
  text = "";
  columns: number | undefined;

  override _write(chunk: Buffer, _: BufferEncoding, done: () => void): void {
    this.text += chunk.toString();
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

/** A powered board with the released image, and a folder. */
export class BoardWorld {
  readonly folder = mkdtempSync(join(tmpdir(), "headgate-test-"));
  readonly board: EmulatedBoard;
  columns: number | undefined;
  private readonly clock: Pump;

  constructor(image = readFileSync(`${RELEASED}headgate.uf2`)) {
    this.board = new EmulatedBoard({ image });
    this.clock = new Pump(this.board);
    this.board.powerOn();
    this.board.runFor(START_US);
  }

  read(name: string): string {
    return readFileSync(join(this.folder, name), "utf8");
  }

  /** Runs the tool once; nobody is there to answer. */
  async run(...args: string[]): Promise<Ran> {
    const [out, err] = [new Remembered(), new Remembered()];
    out.columns = this.columns;
    const exit = await runCli(args, {
      stdin: Readable.from([]),
      stdout: out,
      stderr: err,
      env: { HEADGATE_DATA: join(this.folder, "data") },
      cwd: this.folder,
      signal: new AbortController().signal,
      clock: this.clock,
      now: () => new Date("2026-05-01T10:20:30Z"),
      openLine: () => Promise.resolve(boardLine(this.board)),
      listPorts: () => Promise.resolve([{ path: "/dev/ttyTest", vendorId: "1209", productId: "0001" }]),
    });
    const json = (): Record<string, unknown> => JSON.parse(out.text) as Record<string, unknown>;
    return { exit, stdout: out.text, stderr: err.text, json };
  }
}
