// Where log pages come from: a controller on the line. Only reading; one piece a request.
import type { LinkClient } from "#host/link/client.ts";
import { numberOf } from "#host/link/payload.ts";
import { LOG_PAGE } from "#shared-schema/columns.ts";

/** Where the stored log stands. */
export interface LogInfo {
  /** Sequence number of the next page; 0 in an empty log. */
  readonly sequence: number;
  /** Number of the newest run, 0 for none. */
  readonly run: number;
  readonly pages: number;
  /** Page that is written next. */
  readonly next: number;
  /** Records in memory that are not stored yet. */
  readonly waiting: number;
  readonly busy: "no" | "storing" | "erasing";
}

/** Reads pieces of a log. */
export interface LogSource {
  info(): Promise<LogInfo>;
  /** The 16 bytes of the heads of pages `page`, `page + stride`, ..., wrapping at the end of the area. */
  heads(page: number, stride: number, count: number): Promise<Uint8Array[]>;
  /** All 256 bytes of a page. */
  page(page: number): Promise<Uint8Array>;
}

const BUSY = ["no", "storing", "erasing"] as const;
/** Heads that one answer holds. */
const MOST_HEADS = 31;

/** The log of a controller. Every call fails as `LinkClient.request` does. */
export class LinkLog implements LogSource {
  private readonly client: LinkClient;
  private most = MOST_HEADS;

  constructor(client: LinkClient) {
    this.client = client;
  }

  async info(): Promise<LogInfo> {
    const { values } = await this.client.request("logInfo");
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

  async heads(page: number, stride: number, count: number): Promise<Uint8Array[]> {
    const found: Uint8Array[] = [];
    while (found.length < count) {
      const before = this.client.counts.repeats;
      const { tail } = await this.client.request("logHeads", {
        page: page + found.length * stride,
        stride,
        count: Math.min(this.most, count - found.length),
      });
      for (let at = 0; at < tail.length; at += LOG_PAGE.headBytes)
        found.push(tail.slice(at, at + LOG_PAGE.headBytes));
      const repeated = this.client.counts.repeats > before;
      this.most = repeated ? Math.max(1, this.most >> 1) : Math.min(MOST_HEADS, this.most + 1);
    }
    return found;
  }

  async page(page: number): Promise<Uint8Array> {
    return (await this.client.request("logPage", { page })).tail;
  }
}
