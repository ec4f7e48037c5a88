// `headgate runs`: the runs that a controller has stored, the oldest first, each with its peaks and how it ended.
import type { Digest } from "#host/logbook/digest.ts";
import type { RunSummary } from "#host/logbook/runs.ts";
import type { LogInfo, LogSource } from "#host/logbook/source.ts";
import { BAUD_MAX } from "#shared-schema/link/messages.ts";
import type { AddCommand } from "../command.ts";
import type { Connection, PortOptions } from "../line/connect.ts";
import { localMinute } from "../local-time.ts";
import { withPort, withTransferBaud } from "../options.ts";
import type { Result, Session } from "../session.ts";
import type { SeenRuns } from "./seen-runs.ts";

interface Options extends PortOptions {
  readonly quick?: true | undefined;
  readonly transferBaud?: number | undefined;
}

/** A run as it is listed. */
interface Listed extends RunSummary {
  readonly firstSeen: string;
  readonly digest?: Digest;
}

const HEAD = ["run", "first seen", "length", "flowing", "rpm", "km/h", "ended", "settings"];

/** How it ended: by the arm switch, by what tripped, or not to be seen. */
function endWords({ complete, trip, digest }: Listed): string {
  const tripped = digest?.trips.at(-1) ?? trip;
  if (tripped) return tripped;
  if (!complete || tripped === undefined) return "cut short";
  return "off";
}

function row(run: Listed): string[] {
  const { seconds, pages, settingsCrc, digest } = run;
  return [
    String(run.run),
    localMinute(run.firstSeen),
    seconds === undefined ? `~${(pages * 0.09).toFixed(0)} s` : `${seconds.toFixed(2)} s`,
    digest ? `${digest.flowingS.toFixed(2)} s` : "?",
    digest ? digest.peakRpm.toFixed(0) : "?",
    digest ? digest.peakKmh.toFixed(0) : "?",
    endWords(run),
    settingsCrc === undefined ? "?" : settingsCrc.toString(16).padStart(8, "0"),
  ];
}

/** What is said where no run is listed: only a log to which nothing was written is empty. */
const noneWords = (written: boolean): string =>
  written
    ? "no run can be read: what the log holds was cut off or is damaged; headgate erase empties it"
    : "the log is empty: a run is stored when the controller has been off for a moment after it";

/** Reads the runs that this computer does not know yet, and gives what it then knows of all, and whether anything was written. */
async function survey(
  session: Session,
  { client, device }: Connection,
  { quick, transferBaud = BAUD_MAX }: Options,
): Promise<{ list: Listed[]; written: boolean }> {
  const { LinkLog } = await import("#host/link/log.ts");
  const { pauseOn } = await import("#host/link/clock.ts");
  const { atSpeed } = await import("#host/link/speed.ts");
  const { listRuns, settledInfo } = await import("#host/logbook/runs.ts");
  const { keepSeen, seenRuns } = await import("./seen-runs.ts");
  const log = new LinkLog(client);
  const info = await settledInfo(log, pauseOn(session.io.clock));
  const list = await listRuns(log, info);
  const seen = seenRuns(session, device.boardId);
  const now = session.io.now().toISOString();
  for (const { key } of list) if (!seen.has(key)) seen.set(key, { firstSeen: now });
  const unread = quick ? [] : list.filter(({ key }) => !seen.get(key)!.digest);
  const read = (): Promise<void> => readDigests(session, log, info, unread, seen);
  if (unread.length > 0) await atSpeed(client, transferBaud, read);
  keepSeen(session, device.boardId, seen);
  const known = list.map((summary) => ({ ...summary, ...seen.get(summary.key)! }));
  return { list: known, written: info.sequence > 0 };
}

/** Reads these runs whole. One whose pages say nothing that this version knows gets no digest. */
async function readDigests(
  session: Session,
  log: LogSource,
  info: LogInfo,
  unread: readonly RunSummary[],
  seen: SeenRuns,
): Promise<void> {
  const { findRuns } = await import("#host/logbook/find-runs.ts");
  const { pagesOf, runOf } = await import("#host/logbook/runs.ts");
  const { digestOf } = await import("#host/logbook/digest.ts");
  const wanted = new Map(unread.map(({ run, key }) => [run, key]));
  const found = (await findRuns(log, info)).filter(({ run }) => wanted.has(run));
  const all = found.reduce((sum, { pages }) => sum + pages.length, 0);
  const show = session.progress("read");
  let before = 0;
  for (const one of found) {
    const pages = await pagesOf(log, one, (done) => show.update(before + done, all));
    const { samples } = runOf(pages, one.run);
    const key = wanted.get(one.run)!;
    if (samples.length > 0) seen.set(key, { ...seen.get(key)!, digest: digestOf(samples) });
    before += one.pages.length;
  }
  show.end();
}

async function runs(session: Session, options: Options): Promise<Result> {
  const { withController } = await import("../line/connect.ts");
  const { requireFit } = await import("#host/link/device.ts");
  const { tableLines } = await import("#host/report/terminal/table.ts");
  const { board, list, written } = await withController(session, options, async (connection) => {
    requireFit(connection.device);
    return { board: connection.device.boardId, ...(await survey(session, connection, options)) };
  });
  const lines =
    list.length === 0 ? session.wrapped(noneWords(written)) : tableLines(HEAD, list.map(row), session.width);
  return { data: { board, runs: list }, lines };
}

export const addRuns: AddCommand = (program, act) => {
  withTransferBaud(withPort(program.command("runs")))
    .option("--quick", "leave peaks out of runs that this computer has not read yet")
    .description("list the runs that a controller has stored")
    .action(act(runs));
};
