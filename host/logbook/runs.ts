// Runs of the stored log: what each is at a glance, and one of them with all its records.
import { Failure } from "#host/errors/failure.ts";
import { findRuns, type RunPages } from "./find-runs.ts";
import { decodePage, type Page } from "./page.ts";
import { decodeRecord, type LogRecord } from "./record.ts";
import type { LogInfo, LogSource, Progress } from "./source.ts";

/** A run at a glance. What a damaged first or last page would say is undefined. */
export interface RunSummary {
  readonly run: number;
  readonly pages: number;
  /** Time from its first record to its last, s. */
  readonly seconds: number | undefined;
  /** Its first and its last page are there: nothing was overwritten or cut off. */
  readonly complete: boolean;
  /** CRC-32C of the settings that were in force. */
  readonly settingsCrc: number | undefined;
  /** What tripped, or an empty text. */
  readonly trip: string | undefined;
}

/** A run with its records. */
export interface Run {
  readonly run: number;
  readonly settingsCrc: number | undefined;
  readonly complete: boolean;
  readonly records: readonly LogRecord[];
  /** Pages between the first and the last that can be read and that cannot: up to 9 records each are not there. */
  readonly lostPages: number;
}

const LOOK_AGAIN_MS = 100;
/** Storing half a minute takes 2 s, erases included (times of the flash chip from memory, unverified). */
const MOST_LOOKS = 200;

/**
 * Waits until the controller has stored the run it has in memory. `pause` lets so many milliseconds pass. Fails with
 * `log-busy` when it does not come to its end, or erases.
 */
export async function settledInfo(source: LogSource, pause: (ms: number) => Promise<void>): Promise<LogInfo> {
  for (let looks = 1; ; looks++) {
    const info = await source.info();
    if (info.busy === "no") return info;
    if (info.busy === "erasing" || looks === MOST_LOOKS)
      throw new Failure("log-busy", { data: { busy: info.busy, waiting: info.waiting } });
    await pause(LOOK_AGAIN_MS);
  }
}

const timeOf = (page: Page | undefined, at: number): number | undefined => {
  const bytes = page?.records.at(at);
  return bytes && Number(decodeRecord(bytes).time);
};

async function summaryOf(source: LogSource, { run, pages }: RunPages): Promise<RunSummary> {
  const ends = await source.pages([pages[0]!, pages.at(-1)!]);
  const [first, last] = ends.map(decodePage);
  const [from, to] = [timeOf(first, 0), timeOf(last, -1)];
  const end = last?.records.at(-1);
  return {
    run,
    pages: pages.length,
    seconds: from === undefined || to === undefined ? undefined : Number((to - from).toFixed(2)),
    complete: first?.head.first === true && last?.head.last === true,
    settingsCrc: (first ?? last)?.head.settingsCrc,
    trip: end && String(decodeRecord(end).trip),
  };
}

/** All runs in the log, the oldest first. A single page that is no whole one is no run: a torn head says anything. */
export async function listRuns(source: LogSource, info: LogInfo): Promise<RunSummary[]> {
  const summaries: RunSummary[] = [];
  for (const found of await findRuns(source, info)) summaries.push(await summaryOf(source, found));
  return summaries.filter(({ pages, settingsCrc }) => pages > 1 || settingsCrc !== undefined);
}

/** A run with all that can be read of it. Fails with `no-run`. */
export async function pullRun(
  source: LogSource,
  info: LogInfo,
  run: number,
  progress?: Progress,
): Promise<Run> {
  const all = await findRuns(source, info);
  const found = all.find((one) => one.run === run);
  if (!found) throw new Failure("no-run", { data: { run, runs: all.map((one) => one.run) } });
  const pages = new Map<number, Page>();
  for (const bytes of await source.pages(found.pages, progress)) {
    const page = decodePage(bytes);
    if (page?.head.run === run) pages.set(page.number, page);
  }
  return runOf(run, [...pages.values()]);
}

/** Pages in the order of their numbers. One that was written twice, because it did not read back at first, counts once. */
function runOf(run: number, pages: readonly Page[]): Run {
  const [first, last] = [pages[0], pages.at(-1)];
  const span = first && last ? last.number - first.number + 1 : 0;
  return {
    run,
    settingsCrc: first?.head.settingsCrc,
    complete: first?.head.first === true && last?.head.last === true,
    records: pages.flatMap(({ records }) => records.map(decodeRecord)),
    lostPages: span - pages.length,
  };
}
