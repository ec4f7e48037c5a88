// The steps of a tour, each with what it needs of those before it and the page or file that it leaves.
import { readFileSync } from "node:fs";
import type { EmulatedBoard } from "#host/bench/board/emulated-board.ts";
import { boardLine } from "#host/bench/board-line.ts";
import { type Findings, findings } from "#host/bench/findings.ts";
import { BoardController } from "#host/bench/loop/board-controller.ts";
import { type Run, rehearse } from "#host/bench/loop/rehearse.ts";
import { launchScript } from "#host/bench/loop/script.ts";
import type { Finding } from "#host/bench/prove/prove.ts";
import { QUARTER_MILE_M } from "#host/car/quarter-mile.ts";
import { LinkClient } from "#host/link/client.ts";
import { hello } from "#host/link/device.ts";
import { LinkLog } from "#host/link/log.ts";
import { runFileBytes } from "#host/logbook/run-file/run-file.ts";
import { supplyOf } from "#host/plan/run/supply.ts";
import { settingsOf } from "#host/plan/settings-document.ts";
import { settingsBytes, settingsHash } from "#host/settings/hash.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import { proveRows } from "../bench/proof-workers.ts";
import { pulled } from "../log/pulled.ts";
import { packageFile } from "../package-file.ts";
import { plannedCar } from "../plan/car-file.ts";
import type { Session } from "../session.ts";

/** The demo car, its plan, and the settings that the plan makes. */
export interface Planned extends Awaited<ReturnType<typeof plannedCar>> {
  readonly carText: string;
  readonly settings: Document;
  readonly block: Uint8Array;
  readonly hash: string;
}

/** Rows of the catalogue that are proved: the arm switch, the pedal, and a wire that breaks while it flows. */
export const SHORT_SET: readonly string[] = ["ARM", "WOT", "RPM-LOST"];

/** Plans the demo car. */
export async function planStep(session: Session): Promise<Planned> {
  const path = packageFile("host", "demo", "street-coupe-car.yaml");
  const { input, plan } = await plannedCar(session, path);
  const settings = settingsOf(input, plan);
  const carText = readFileSync(path, "utf8");
  return { input, plan, carText, settings, block: settingsBytes(settings), hash: settingsHash(settings) };
}

/** Proves the short set with the planned settings, each fault on a board of its own. */
export async function proveStep(session: Session, { settings }: Planned): Promise<Finding[]> {
  const show = session.progress("prove");
  const read = (file: string): Uint8Array => readFileSync(packageFile("firmware", "image", file));
  const found = await proveRows({
    document: settings,
    image: read("headgate.uf2"),
    elf: read("headgate.elf"),
    only: SHORT_SET,
    onProgress: show.update,
    signal: session.io.signal,
  });
  show.end();
  return found;
}

/** The run, and what the pins did in it. */
export interface DrivenRun {
  readonly run: Run;
  readonly found: Findings;
}

/** Drives the demo car to the quarter mile in front of the board. */
export function driveStep(
  session: Session,
  board: EmulatedBoard,
  { input, plan, settings }: Planned,
): DrivenRun {
  const show = session.progress("drive");
  const run = rehearse({
    ...{ car: input.car, driver: input.driver, supply: supplyOf(input, plan, settings) },
    controller: new BoardController(board),
    settings,
    script: launchScript(settings),
    until: { distanceM: QUARTER_MILE_M },
    onProgress: (share) => show.update(share, 1),
  });
  show.end();
  return { run, found: findings(run, settings) };
}

/** Looks at the log until the board has stored the run, a stretch of virtual time each. */
async function untilStored(board: EmulatedBoard, client: LinkClient): Promise<void> {
  const log = new LinkLog(client);
  for (let looks = 0; looks < MOST_LOOKS; looks++) {
    board.runFor(LOOK_US);
    if ((await log.info()).busy === "no") return;
  }
}

const LOOK_US = 500_000;
const MOST_LOOKS = 60;

/** Pulls the run over the board's line, as a run file with the car in it. */
export async function pullStep(
  session: Session,
  board: EmulatedBoard,
  { carText }: Planned,
): Promise<Uint8Array> {
  const line = boardLine(board);
  const client = new LinkClient(line, { clock: line.clock, signal: session.io.signal });
  try {
    await untilStored(board, client);
    const connection = { port: "emulated board", client, device: await hello(client) };
    const { facts, pages, settings } = await pulled(session, connection, "last");
    const note = "tour of headgate: an invented car on the emulated board";
    return runFileBytes({ facts, pages, car: carText, note, ...(settings ? { settings } : {}) });
  } finally {
    await client.close();
  }
}
