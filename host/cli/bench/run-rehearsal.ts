// A rehearsal from file to report: the emulated board takes the settings over its line, is armed, and makes one launch.
import { readFileSync } from "node:fs";
import { resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { STARTED_US } from "#host/bench/board/boot.ts";
import { EmulatedBoard } from "#host/bench/board/emulated-board.ts";
import { boardLine } from "#host/bench/board-line.ts";
import { DEMO_CAR } from "#host/bench/car/car.ts";
import { END_S, LAUNCH } from "#host/bench/car/script.ts";
import { findings } from "#host/bench/findings.ts";
import { type Rehearsal, rehearse } from "#host/bench/rehearsal.ts";
import { EXIT } from "#host/errors/exit.ts";
import { LinkClient } from "#host/link/client.ts";
import { hello, requireFit } from "#host/link/device.ts";
import { writeSettings } from "#host/link/transfer.ts";
import { rehearsalPage } from "#host/report/rehearsal/page.ts";
import { carLine, cautionLines, rehearsalLines } from "#host/report/rehearsal/text.ts";
import { requireWritable, writeOver } from "../files.ts";
import { packageFile } from "../package-file.ts";
import type { Result, Session } from "../session.ts";
import type { GoodFile } from "../settings/settings-file.ts";
import { TOOL_VERSION } from "../version.ts";

async function load(session: Session, board: EmulatedBoard, file: GoodFile): Promise<string> {
  const line = boardLine(board);
  const client = new LinkClient(line, { clock: line.clock, signal: session.io.signal });
  try {
    const device = await hello(client);
    requireFit(device);
    const show = session.progress("load ");
    const stored = await writeSettings(client, file.block, { progress: show.update });
    show.end();
    return `emulated board: settings ${file.hash} stored in slot ${stored.slot}`;
  } finally {
    await client.close();
  }
}

function launch(session: Session, board: EmulatedBoard, file: GoodFile): Rehearsal {
  const show = session.progress("drive");
  const run = rehearse(board, {
    settings: file.document,
    script: LAUNCH,
    endS: END_S,
    car: DEMO_CAR,
    onProgress: (share) => show.update(share, 1),
  });
  show.end();
  return run;
}

function writePage(session: Session, path: string, run: Rehearsal, file: GoodFile): string {
  const full = resolve(session.io.cwd, path);
  const page = rehearsalPage(run, findings(run, file.document), {
    settingsName: file.file,
    settingsHash: file.hash,
    image: TOOL_VERSION,
    date: session.io.now().toISOString().slice(0, 10),
    car: DEMO_CAR,
  });
  writeOver(session.io, path, page);
  return full;
}

/** Runs it. Exit 1 when no stage flowed at all, or when pins stayed high after pedal or arm switch. */
export async function rehearseFile(session: Session, file: GoodFile, page: string): Promise<Result> {
  requireWritable(session.io, page);
  const image = readFileSync(packageFile("firmware", "image", "headgate.uf2"));
  const board = new EmulatedBoard({ image });
  board.powerOn();
  board.runFor(STARTED_US);
  session.talk("emulated board: released firmware image started, instruction by instruction");
  session.talk(await load(session, board, file));
  const run = launch(session, board, file);
  const found = findings(run, file.document);
  const path = writePage(session, page, run, file);
  const flowed = found.stages.some((flows) => flows.length > 0);
  const shut = !found.shuts.some((s) => s.stillHigh);
  return {
    exit: flowed && shut ? EXIT.yes : EXIT.no,
    data: { file: file.file, hash: file.hash, car: { ...DEMO_CAR, invented: true }, page: path, ...found },
    lines: [
      ...session.wrapped(carLine(DEMO_CAR)),
      "",
      ...rehearsalLines(found),
      "",
      ...cautionLines(session.width),
      "",
      `page with the plots: ${pathToFileURL(path).href}`,
    ],
  };
}
