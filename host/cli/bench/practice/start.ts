// Puts a practice board together and serves it: flash out of a file, car, serial port, page and verbs.
import { readFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { EmulatedBoard } from "#host/bench/board/emulated-board.ts";
import { PracticeDisk } from "#host/bench/practice/boot-disk.ts";
import { readFlashFile, writeFlashFile } from "#host/bench/practice/flash-file.ts";
import { act, type Practice } from "#host/bench/practice/hands.ts";
import { PracticeBench } from "#host/bench/practice/practice-bench.ts";
import { serveBoard } from "#host/bench/serve.ts";
import { Failure } from "#host/errors/failure.ts";
import { checkSettings } from "#host/settings/check.ts";
import { dataFolder } from "#host/settings/data-folder.ts";
import { fileFailure } from "../../files.ts";
import { dropRecord, noteRecord } from "../../line/practice-record.ts";
import { packageFile } from "../../package-file.ts";
import type { Session } from "../../session.ts";
import { carForAny } from "../driven-car.ts";
import { type Controlled, startControl } from "./control-server.ts";
import { lookAt } from "./look.ts";
import { practicePage } from "./page.ts";

/** Options of `headgate board`. */
export interface BoardOptions {
  readonly tcp?: number | true | undefined;
  readonly seconds?: number | undefined;
  readonly flash?: string | undefined;
  readonly car?: string | undefined;
}

/** One that is served. */
export interface ServedPractice {
  readonly port: string;
  readonly kind: "pty" | "tcp";
  readonly url: string;
  readonly ended: Promise<void>;
  close(): Promise<void>;
}

/** Fills a flash from the file that keeps it, or makes that file; what writes it anew. Fails with `bad-flash-file`, and as `readBytes`. */
function keptIn({ io }: Session, name: string, flash: Uint8Array): (bytes: Uint8Array) => void {
  const path = resolve(io.cwd, name);
  const orFail = <T>(work: () => T): T => {
    try {
      return work();
    } catch (thrown) {
      throw thrown instanceof Failure ? thrown : fileFailure(name, thrown);
    }
  };
  const write = (bytes: Uint8Array): void => orFail(() => writeFlashFile(path, bytes));
  const kept = orFail(() => readFlashFile(path));
  if (kept) flash.set(kept);
  else write(flash);
  return write;
}

/** A bench with power, not served yet. Fails with `bad-flash-file`, `bad-car` or `no-file`. */
export async function makeBench(session: Session, { flash, car }: BoardOptions): Promise<PracticeBench> {
  const board = new EmulatedBoard({ image: readFileSync(packageFile("firmware", "image", "headgate.uf2")) });
  const onFlash = flash === undefined ? undefined : keptIn(session, flash, board.flash.bytes);
  const demo = readFileSync(packageFile("host", "demo", "street-coupe.yaml"), "utf8");
  const bench = new PracticeBench({
    board,
    carFor: await carForAny(session, car),
    unset: checkSettings(demo).document!,
    disk: new PracticeDisk(board, join(dataFolder(session.io.env), "practice-volume")),
    ...(onFlash ? { onFlash } : {}),
  });
  bench.power(true);
  return bench;
}

/** What page and verbs of a bench need. */
export const controlled = (practice: Practice): Controlled => ({
  look: () => lookAt(practice),
  act: (words) => act(practice, words),
  page: practicePage,
});

/** Starts and notes it for other commands. */
export async function startPractice(session: Session, options: BoardOptions): Promise<ServedPractice> {
  const bench = await makeBench(session, options);
  const { tcp } = options;
  const kind = tcp === undefined ? {} : ({ kind: "tcp", port: tcp === true ? 0 : tcp } as const);
  const served = await serveBoard(bench.board, { ...kind, paced: bench });
  const control = await startControl(controlled({ bench, cable: served }));
  const record = { port: served.port, url: control.url, pid: process.pid, volume: bench.disk.folder };
  noteRecord(session.io, record);
  const close = async (): Promise<void> => {
    dropRecord(session.io, record);
    await control.close();
    await served.close();
    bench.close();
  };
  return { port: served.port, kind: served.kind, url: control.url, ended: served.ended, close };
}
