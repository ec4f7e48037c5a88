// Runs of the stored log: a summary of each, and one run with all its records.
import { Failure } from "#host/errors/failure.ts";
import { LOG_PAGE } from "#shared-schema/link/columns.ts";
import { findRuns, type RunPages } from "./find-runs.ts";
import { decodePage, type Page } from "./page.ts";
import { decodeRecord, type LogRecord } from "./record.ts";
import { isWholePage } from "./run-file/saved-pages.ts";
import { type LogSample, samplesOf } from "./sample.ts";
import type { LogInfo, LogSource, Progress } from "./source.ts";
import { decodeTicksPage } from "./ticks-page.ts";

/** Summary of a run. What a damaged first or last page would have said is undefined. */
export interface RunSummary {
  readonly run: number;
  /** Tells the run from all others of its board, whatever is erased or overwritten: its number and its last page's check sum. */
  readonly key: string;
  readonly pages: number;
  /** Time from its first record to its last, s. */
  readonly seconds: number | undefined;
  /** Are its first and last page there? If so, nothing was overwritten or cut off. */
  readonly complete: boolean;
  /** CRC-32C of the settings that were active. */
  readonly settingsCrc: number | undefined;
  /** The interlock that tripped, or an empty string. */
  readonly trip: string | undefined;
}

/** A run with its records. */
export interface Run {
  readonly run: number;
  readonly settingsCrc: number | undefined;
  readonly complete: boolean;
  readonly records: readonly LogRecord[];
  /** The same as numbers only, at strictly rising times. */
  readonly samples: readonly LogSample[];
  /** Unreadable pages between the first and the last readable one. Each held some twenty records. */
  readonly lostPages: number;
  /** Pages that are whole, but of a kind that this version does not know. */
  readonly otherPages: number;
}

const LOOK_AGAIN_MS = 100;
/** Storing half a minute takes 4 s, erases included (times of the flash chip from memory, unverified). */
const MOST_LOOKS = 200;

/**
 * Waits until the controller has stored the run that it has in memory. `pause` waits the given number of milliseconds. Fails
 * with `log-busy` when the controller does not finish, or is erasing.
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
    key: `${run}-${Buffer.from(ends.at(-1)!.slice(LOG_PAGE.crcAt)).toString("hex")}`,
    pages: pages.length,
    seconds: from === undefined || to === undefined ? undefined : Number((to - from).toFixed(2)),
    complete: first?.head.first === true && last?.head.last === true,
    settingsCrc: (first ?? last)?.head.settingsCrc,
    trip: end && String(decodeRecord(end).trip),
  };
}

/** All runs in the log, oldest first. A single incomplete page is not a run: a torn head may contain anything. */
export async function listRuns(source: LogSource, info: LogInfo): Promise<RunSummary[]> {
  const summaries: RunSummary[] = [];
  for (const found of await findRuns(source, info)) summaries.push(await summaryOf(source, found));
  return summaries.filter(({ pages, settingsCrc }) => pages > 1 || settingsCrc !== undefined);
}

const isBlank = (page: Uint8Array): boolean => page.every((byte) => byte === 0xff);

/** Can the page belong to the run? One that cannot be read may; what is erased, or of another run, does not. */
function mayBelong(bytes: Uint8Array, run: number): boolean {
  const page = decodePage(bytes);
  return page ? page.head.run === run : !isBlank(bytes);
}

/** Pages of a run that was found, as they are in flash, in the order in which they were written, damaged ones too. */
export async function pagesOf(
  source: LogSource,
  { run, pages }: RunPages,
  progress?: Progress,
): Promise<Uint8Array[]> {
  return (await source.pages(pages, progress)).filter((bytes) => mayBelong(bytes, run));
}

/** The pages of a run by its number. Fails with `no-run`. */
export async function pullPages(
  source: LogSource,
  info: LogInfo,
  run: number,
  progress?: Progress,
): Promise<Uint8Array[]> {
  const all = await findRuns(source, info);
  const found = all.find((one) => one.run === run);
  if (!found) throw new Failure("no-run", { data: { run, runs: all.map((one) => one.run) } });
  return pagesOf(source, found, progress);
}

/** A run with everything that can be read of it. Fails with `no-run`. */
export async function pullRun(
  source: LogSource,
  info: LogInfo,
  run: number,
  progress?: Progress,
): Promise<Run> {
  return runOf(await pullPages(source, info, run, progress), run);
}

/** The number of a run by the first of its pages that says one. */
const numberIn = (pages: readonly Uint8Array[]): number => {
  for (const bytes of pages) {
    const page = decodePage(bytes);
    if (page) return page.head.run;
  }
  return 0;
};

/** What pages say, in the order of their numbers. One that was written twice, because it did not read back at first, counts once. */
export function runOf(all: readonly Uint8Array[], run = numberIn(all)): Run {
  const byNumber = new Map<number, Page>();
  for (const bytes of all) {
    const page = decodePage(bytes);
    if (page?.head.run === run) byNumber.set(page.number, page);
  }
  const pages = [...byNumber.values()];
  const [first, last] = [pages[0], pages.at(-1)];
  const span = first && last ? last.number - first.number + 1 : 0;
  const records = pages.flatMap((page) => page.records);
  return {
    run,
    settingsCrc: first?.head.settingsCrc,
    complete: first?.head.first === true && last?.head.last === true,
    records: records.map(decodeRecord),
    samples: samplesOf(records),
    lostPages: span - pages.length,
    otherPages: all.filter((bytes) => isWholePage(bytes) && !decodePage(bytes) && !decodeTicksPage(bytes))
      .length,
  };
}
