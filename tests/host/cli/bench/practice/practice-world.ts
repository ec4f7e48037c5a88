// A world whose only line leads to a practice bench, in its virtual time, with its verbs reached as from a second terminal.

import { Readable, Writable } from "node:stream";
import type { EmulatedBoard } from "#host/bench/board/emulated-board.ts";
import { Pump } from "#host/bench/board/pump.ts";
import { boardLine } from "#host/bench/board-line.ts";
import { type ControlServer, startControl } from "#host/cli/bench/practice/control-server.ts";
import { controlled } from "#host/cli/bench/practice/start.ts";
import type { Io } from "#host/cli/io.ts";
import { noteRecord } from "#host/cli/line/practice-record.ts";
import { runCli } from "#host/cli/program.ts";
import { Failure } from "#host/errors/failure.ts";
import { TestPractice } from "../../../bench/practice/bench.ts";

class Remembered extends Writable {
  text = "";

  override _write(chunk: Buffer, _: BufferEncoding, done: () => void): void {
    this.text += chunk.toString();
    done();
  }
}

/** What one run of the tool printed. */
export interface Ran {
  readonly exit: number;
  readonly stdout: string;
  readonly stderr: string;
}

/** How long a person takes from one command to the next, ms. */
const TYPING_MS = 300;

export class PracticeWorld {
  readonly practice: TestPractice;
  readonly folder: string;
  readonly env: Record<string, string>;
  private readonly pump: Pump;
  private server!: ControlServer;

  constructor(stored = false) {
    this.practice = new TestPractice(stored);
    const { bench, folder } = this.practice;
    this.folder = folder;
    this.env = { HEADGATE_DATA: `${folder}/data`, HEADGATE_PORT: "practice" };
    const { board } = bench;
    this.pump = new Pump({
      clock: board.clock,
      get nowNs() {
        return board.nowNs;
      },
      runFor: (us) => bench.runFor(us),
    } as EmulatedBoard);
  }

  async open(): Promise<void> {
    this.server = await startControl(controlled(this.practice));
    const { disk } = this.practice.bench;
    const record = { port: "tcp:127.0.0.1:1", url: this.server.url, pid: process.pid, volume: disk.folder };
    noteRecord({ env: this.env } as unknown as Io, record);
  }

  close(): Promise<void> {
    return this.server.close();
  }

  /** Runs the tool once, as somebody types it. */
  async run(...args: string[]): Promise<Ran> {
    const [stdout, stderr] = [new Remembered(), new Remembered()];
    // A launch needs time to pass. Else it passes only while a client waits: how long modules take to load must not count.
    const release = args[1] === "run" ? this.pump.hold() : () => {};
    const exit = await runCli(args, {
      stdin: Readable.from([]),
      stdout,
      stderr,
      env: this.env,
      cwd: this.folder,
      signal: new AbortController().signal,
      clock: this.pump,
      now: () => new Date("2026-05-01T10:20:30Z"),
      openLine: async () => {
        if (!this.practice.cable.plugged) throw new Failure("port-gone");
        return boardLine(this.practice.bench.board);
      },
      listPorts: async () => [],
    });
    release();
    this.practice.bench.runFor(TYPING_MS * 1000);
    return { exit, stdout: stdout.text, stderr: stderr.text };
  }
}
