// A run taken out of a controller: its pages as in flash, who recorded it, and the settings that were in force.
import { crc32c } from "#host/codec/crc32c.ts";
import { Failure } from "#host/errors/failure.ts";
import { pauseOn } from "#host/link/clock.ts";
import { requireFit } from "#host/link/device.ts";
import { LinkLog } from "#host/link/log.ts";
import { atSpeed } from "#host/link/speed.ts";
import { readSettings } from "#host/link/transfer.ts";
import { ticksOf } from "#host/logbook/find-ticks.ts";
import type { Facts } from "#host/logbook/run-file/facts.ts";
import type { SettingsBlock } from "#host/logbook/run-file/run-file.ts";
import { pullPages, type Run, runOf, settledInfo } from "#host/logbook/runs.ts";
import type { LogInfo } from "#host/logbook/source.ts";
import { checkSettings } from "#host/settings/check.ts";
import { listCopies } from "#host/settings/copies.ts";
import { dataFolder } from "#host/settings/data-folder.ts";
import { hex8, settingsBytes } from "#host/settings/hash.ts";
import { BAUD_MAX } from "#shared-schema/link/messages.ts";
import { readText } from "../files.ts";
import type { Connection } from "../line/connect.ts";
import type { Session } from "../session.ts";
import { TOOL_VERSION } from "../version.ts";

/** Which run: its number, or the newest. */
export type Wanted = number | "last";

/** What one pull brings. */
export interface Pulled {
  readonly run: Run;
  readonly pages: readonly Uint8Array[];
  readonly facts: Facts;
  /** Undefined when neither the controller nor any copy has them. */
  readonly settings: SettingsBlock | undefined;
}

/** The settings in force now, when they are those of the run. */
async function heldBlock({ client, device }: Connection, crc: number): Promise<Uint8Array | undefined> {
  if (device.slot === "none" || device.settingsCrc !== crc) return undefined;
  const block = await readSettings(client);
  return crc32c(block) === crc ? block : undefined;
}

/** The settings of the run out of the copies that loads have kept. */
function copiedBlock(session: Session, crc: number): Uint8Array | undefined {
  const copy = listCopies(dataFolder(session.io.env)).find(({ hash }) => hash === hex8(crc));
  const document = copy && checkSettings(readText(session.io, copy.path)).document;
  const block = document && settingsBytes(document);
  return block && crc32c(block) === crc ? block : undefined;
}

async function settingsOf(
  session: Session,
  connection: Connection,
  crc: number | undefined,
): Promise<SettingsBlock | undefined> {
  if (crc === undefined) return undefined;
  const block = (await heldBlock(connection, crc)) ?? copiedBlock(session, crc);
  return block && { fingerprint: connection.device.fingerprint, block };
}

function factsOf(session: Session, { device }: Connection, run: number): Facts {
  return {
    run,
    board: device.boardId,
    image: device.imageVersion,
    imageCrc: hex8(device.imageCrc),
    protocol: device.protocol,
    fingerprint: hex8(device.fingerprint),
    pulled: session.io.now().toISOString(),
    tool: TOOL_VERSION,
  };
}

/** Number of the run that is wanted. Fails with `no-run` when the log is empty. */
function numberOf(wanted: Wanted, info: LogInfo): number {
  if (wanted !== "last") return wanted;
  if (info.sequence === 0) throw new Failure("no-run", { data: { run: wanted, runs: [] } });
  return info.run;
}

/** What is read of a run: its records, or also what the core has read in each tick, four times as much. */
export interface HowMuch {
  readonly baud?: number | undefined;
  readonly ticks?: boolean;
}

/** Reads a run at the fastest speed that the line carries. Fails with `no-run`, `log-busy` or as a request does. */
export async function pulled(
  session: Session,
  connection: Connection,
  wanted: Wanted,
  { baud = BAUD_MAX, ticks = false }: HowMuch = {},
): Promise<Pulled> {
  const { client, device } = connection;
  requireFit(device);
  const log = new LinkLog(client);
  const show = session.progress("read");
  const work = async (): Promise<Pulled> => {
    const info = await settledInfo(log, pauseOn(session.io.clock));
    const number = numberOf(wanted, info);
    const pages = await pullPages(log, info, number, show.update);
    const run = runOf(pages, number);
    const settings = await settingsOf(session, connection, run.settingsCrc);
    const exact = ticks ? await ticksOf(log, number, show.update) : [];
    return { run, pages: [...pages, ...exact], settings, facts: factsOf(session, connection, number) };
  };
  try {
    return await atSpeed(client, baud, work);
  } finally {
    show.end();
  }
}
