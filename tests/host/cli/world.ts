// A world for one run of the tool: streams that are remembered, a folder of its own, a wire to the device twin; never ends the process.
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { PassThrough, Readable, Writable } from "node:stream";
import type { Io } from "#host/cli/io.ts";
import { runCli } from "#host/cli/program.ts";
import type { PortInfo } from "#host/link/port-info.ts";
import { tempFolder } from "../../support/temp-folder.ts";
import { DeviceTwin } from "../link/twin.ts";
import { VirtualClock } from "../link/virtual-clock.ts";
import { Wire } from "../link/wire.ts";

/** What one run printed. */
export interface Ran {
  readonly exit: number;
  readonly stdout: string;
  readonly stderr: string;
  /** The one JSON document on stdout. Throws when there is anything else. */
  json(): Record<string, unknown>;
}

class Remembered extends Writable {
  text = "";
  isTTY = false;
  columns: number | undefined;
  rows: number | undefined;

  override _write(chunk: Buffer, _: BufferEncoding, done: () => void): void {
    this.text += chunk.toString();
    done();
  }
}

/** A world that outlives several runs: its folder, its device, its data folder. */
export class World {
  readonly folder = tempFolder();
  readonly device = new DeviceTwin();
  readonly clock = new VirtualClock();
  ports: PortInfo[] = [{ path: "/dev/ttyTest", vendorId: "1209", productId: "0001", serialNumber: "A1" }];
  env: Record<string, string> = {};
  columns: number | undefined;
  rows: number | undefined;
  terminal = false;
  /** What somebody at the terminal types; undefined: the input ends at once. */
  answer: string | undefined = "";
  openLine: Io["openLine"] = async () => this.wire();
  listPorts: Io["listPorts"] = async () => this.ports;
  /** Called with each new wire before it is used. */
  onWire: (wire: Wire) => void = () => {};
  readonly wires: Wire[] = [];
  stop = new AbortController();
  now = new Date("2026-05-01T10:20:30Z");

  write(name: string, text: string): string {
    writeFileSync(join(this.folder, name), text);
    return name;
  }

  read(name: string): string {
    return readFileSync(join(this.folder, name), "utf8");
  }

  private stdin(): Io["stdin"] {
    if (!this.terminal) return Readable.from([]);
    const input = new PassThrough();
    if (this.answer === undefined) input.end();
    else input.write(`${this.answer}\n`);
    return Object.assign(input, { isTTY: true });
  }

  /** Runs the tool once. */
  async run(...args: string[]): Promise<Ran> {
    const [out, err] = [new Remembered(), new Remembered()];
    for (const screen of [out, err])
      Object.assign(screen, { isTTY: this.terminal, columns: this.columns, rows: this.rows });
    const exit = await this.clock.run(
      runCli(args, {
        stdin: this.stdin(),
        stdout: out,
        stderr: err,
        env: { HEADGATE_DATA: join(this.folder, "data"), ...this.env },
        cwd: this.folder,
        signal: this.stop.signal,
        clock: this.clock,
        now: () => this.now,
        openLine: this.openLine,
        listPorts: this.listPorts,
      }),
    );
    const json = (): Record<string, unknown> => JSON.parse(out.text) as Record<string, unknown>;
    return { exit, stdout: out.text, stderr: err.text, json };
  }

  private wire(): Wire {
    const wire = new Wire(this.device, this.clock);
    this.onWire(wire);
    this.wires.push(wire);
    return wire;
  }
}
