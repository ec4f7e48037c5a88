// Reads the stored run log over the line: its state, heads and pages. The logbook interprets them.

import { Failure } from "#host/errors/failure.ts";
import { LOG_PAGE } from "#shared-schema/link/columns.ts";
import { FLASH } from "#shared-schema/model/blocks.ts";
import type { LinkClient } from "./client.ts";
import { numberOf, type Values } from "./payload.ts";
import { countFrom, inPieces, type Progress } from "./pieces.ts";
import { readBytes } from "./read-bytes.ts";

const BUSY = ["no", "storing", "erasing"] as const;

/** Pages of the log: first those of records, then those of ticks. */
const RECORD_PAGES = (FLASH.ticksStart - FLASH.logStart) / FLASH.page;
const TICK_PAGES = (FLASH.logEnd - FLASH.ticksStart) / FLASH.page;

/** A page further on, in the same part of the log. */
export const placeFrom = (page: number, further: number): number =>
  page < RECORD_PAGES
    ? (page + further) % RECORD_PAGES
    : RECORD_PAGES + ((page - RECORD_PAGES + further) % TICK_PAGES);

type Busy = (typeof BUSY)[number];

/** State of the log: pages of records, those that wait, and the work in progress on it. */
type LogState = Record<"sequence" | "run" | "pages" | "next" | "waiting", number> & { busy: Busy };

/** Decodes an answer to `logInfo`. An unknown kind of work counts as storing. */
export function logStateOf(values: Values): LogState {
  const n = (name: string): number => numberOf(values, name);
  return {
    sequence: n("sequence"),
    run: n("run"),
    pages: n("pages"),
    next: n("next"),
    waiting: n("waiting"),
    busy: BUSY[n("busy")] ?? "storing",
  };
}

/** The state of a log that can be: as many pages as there are, and one of them next. Fails with `wrong-answer`. */
function requireLog(state: LogState): LogState {
  const { pages, next } = state;
  if (pages === RECORD_PAGES && next < pages) return state;
  throw new Failure("wrong-answer", {
    what: `the controller answered \`logInfo\` with ${pages} pages, of which number ${next} comes next`,
    expected: `${RECORD_PAGES} pages`,
    data: { request: "logInfo", pages, next },
  });
}

/** The first of these places and the run of consecutive places that it begins. */
function neighbours(places: readonly number[]): readonly number[] {
  const end = places.findIndex((place, i) => place !== places[0]! + i);
  return end < 0 ? places : places.slice(0, end);
}

/** The log of a controller, as the logbook reads it. Every call fails as `LinkClient.request` does. */
export class LinkLog {
  private readonly client: LinkClient;

  constructor(client: LinkClient) {
    this.client = client;
  }

  /** State of the log. */
  async info(): Promise<LogState> {
    return requireLog(logStateOf((await this.client.request("logInfo")).values));
  }

  /** Asks for the whole log to be erased. Returns how many sectors that takes; fails with `wrong-answer` when it is not all of them. */
  async erase(): Promise<number> {
    const sectors = numberOf((await this.client.request("logErase")).values, "sectors");
    const all = (FLASH.logEnd - FLASH.logStart) / FLASH.sector;
    if (sectors === all) return sectors;
    throw new Failure("wrong-answer", {
      what: `the controller answered \`logErase\` with ${sectors} sectors`,
      expected: `${all} sectors`,
      data: { request: "logErase", sectors },
    });
  }

  /** Page heads of 16 bytes each, a stride apart, wrapping at the end of their part. */
  async heads(page: number, stride: number, count: number): Promise<Uint8Array[]> {
    const { headBytes } = LOG_PAGE;
    const found: Uint8Array[] = [];
    const pageOf = (n: number): number => placeFrom(page, n * stride);
    await inPieces(this.client, {
      name: "logHeads",
      units: count,
      unitBytes: headBytes,
      outward: false,
      post: (first, many) => ({ values: { page: pageOf(first), stride, count: many } }),
      take: ({ values, tail }, first, many) => {
        if (values.page !== pageOf(first) || tail.length !== many * headBytes) return undefined;
        for (let i = 0; i < many; i++) found[first + i] = tail.slice(i * headBytes, (i + 1) * headBytes);
        return countFrom(first, many);
      },
    });
    return found;
  }

  /** Whole pages, in the given order. Adjacent pages are read together. Progress counts pages. */
  async pages(places: readonly number[], progress: Progress = () => {}): Promise<Uint8Array[]> {
    const { bytes } = LOG_PAGE;
    const found: Uint8Array[] = [];
    while (found.length < places.length) {
      const begun = found.length;
      const span = neighbours(places.slice(begun));
      const read = await readBytes(this.client, "logRead", {
        from: span[0]! * bytes,
        length: span.length * bytes,
        progress: (done, all) => progress(begun + Math.floor((done * span.length) / all), places.length),
      });
      for (const i of span.keys()) found.push(read.subarray(i * bytes, (i + 1) * bytes));
    }
    return found;
  }
}
