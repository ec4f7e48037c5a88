// Loads over a real pseudo-terminal with the native serial binding, the port taken away and given back under it. Needs socat.
import { readFileSync, rmSync, symlinkSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { PassThrough, Readable } from "node:stream";
import { describe, expect, test } from "vitest";
import { EmulatedBoard } from "#host/bench/board/emulated-board.ts";
import { type ServedBoard, serveBoard } from "#host/bench/serve.ts";
import { type Io, processIo } from "#host/cli/io.ts";
import { NOT_LOADED } from "#host/cli/load/verdict.ts";
import { runCli } from "#host/cli/program.ts";
import { settingsHash } from "#host/settings/hash.ts";
import { formatSettings } from "#host/settings/write.ts";
import { fullDocument, smallDocument } from "../support/documents.ts";
import { RELEASED } from "../support/native-core.ts";
import { tempFolder } from "../support/temp-folder.ts";

const OLD = smallDocument();
const NEW = fullDocument();

/** A board that keeps its flash while its port comes and goes; `port` is always the present one. */
class Bench {
  readonly folder = tempFolder();
  readonly board = new EmulatedBoard({ image: readFileSync(`${RELEASED}headgate.uf2`) });
  readonly port = join(this.folder, "port");
  private served: ServedBoard | undefined;

  constructor() {
    this.board.powerOn();
    for (const [name, document] of Object.entries({ old: OLD, new: NEW }))
      writeFileSync(join(this.folder, `${name}.yaml`), formatSettings(document));
  }

  async plugIn(): Promise<void> {
    this.served = await serveBoard(this.board, { kind: "pty" });
    symlinkSync(this.served.port, this.port);
  }

  async pullOut(): Promise<void> {
    rmSync(this.port, { force: true });
    await this.served?.close();
    this.served = undefined;
  }

  /** Runs the tool; `seen` is told of everything on stderr. */
  async run(
    args: string[],
    seen: (text: string) => void = () => {},
  ): Promise<{ exit: number; stdout: string }> {
    const out = new PassThrough();
    const io: Io = {
      ...processIo(new AbortController().signal),
      stdin: Readable.from([]),
      stdout: out,
      stderr: { write: (text) => seen(text) },
      env: { HEADGATE_DATA: join(this.folder, "data") },
      cwd: this.folder,
    };
    const exit = await runCli([...args, "--port", this.port], io);
    return { exit, stdout: String(out.read() ?? "") };
  }
}

const lastLine = (text: string): string => text.trimEnd().split("\n").at(-1)!;

describe("a real port", () => {
  test("loads, reads back, and undoes", async () => {
    const bench = new Bench();
    await bench.plugIn();
    expect((await bench.run(["load", "old.yaml", "--yes"])).exit).toBe(0);
    expect(lastLine((await bench.run(["load", "new.yaml", "--yes"])).stdout)).toBe("LOADED");
    expect((await bench.run(["diff", "new.yaml"])).exit).toBe(0);
    expect((await bench.run(["undo", "--weaken", "--yes"])).exit).toBe(0);
    const status = await bench.run(["read", "--json"]);
    expect(JSON.parse(status.stdout)).toMatchObject({ ok: true, hash: settingsHash(OLD) });
    await bench.pullOut();
  });

  test("a faster speed that the line does not carry: the load goes on at the first one", async () => {
    const bench = new Bench();
    await bench.plugIn();
    const ran = await bench.run(["load", "new.yaml", "--yes", "--transfer-baud", "460800"]);
    expect(lastLine(ran.stdout)).toBe("LOADED");
    await bench.pullOut();
  });

  test("the port vanishes in the middle: one plain message, exit 74, the old settings", async () => {
    const bench = new Bench();
    await bench.plugIn();
    await bench.run(["load", "old.yaml", "--yes"]);
    let pulled: Promise<void> | undefined;
    const ran = await bench.run(["load", "new.yaml", "--yes"], (text) => {
      if (text.startsWith("write")) pulled ??= bench.pullOut();
    });
    await pulled;
    expect([ran.exit, lastLine(ran.stdout)]).toEqual([74, NOT_LOADED]);
    await bench.plugIn();
    expect((await bench.run(["diff", "old.yaml"])).exit).toBe(0);
    await bench.pullOut();
  });

  test("the port vanishes and comes back: the load goes on and ends in LOADED", async () => {
    const bench = new Bench();
    await bench.plugIn();
    let moved: Promise<void> | undefined;
    const ran = await bench.run(["load", "new.yaml", "--yes", "--wait", "30"], (text) => {
      if (text.startsWith("write")) moved ??= bench.pullOut().then(() => bench.plugIn());
    });
    await moved;
    expect([ran.exit, lastLine(ran.stdout)]).toEqual([0, "LOADED"]);
    await bench.pullOut();
  });

  test("two programs at one port: the second says that it is busy", async () => {
    const bench = new Bench();
    await bench.plugIn();
    const other = await processIo(new AbortController().signal).openLine(bench.port, 115_200);
    const ran = await bench.run(["status", "--json"]);
    expect(ran.exit).toBe(75);
    expect(JSON.parse(ran.stdout)).toMatchObject({ error: { code: "port-busy" } });
    await other.close();
    expect((await bench.run(["status"])).exit).toBe(0);
    await bench.pullOut();
  });
});
