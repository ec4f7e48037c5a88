// The stored run log over the line: where it stands, heads and pages. Only reading; what they mean is the logbook's.

import { LOG_PAGE } from "#shared-schema/columns.ts";
import type { LinkClient } from "./client.ts";
import { numberOf } from "./payload.ts";

const BUSY = ["no", "storing", "erasing"] as const;
/** Heads that one answer holds. */
const MOST_HEADS = 31;

type Busy = (typeof BUSY)[number];

/** The log of a controller, as the logbook reads it. Every call fails as `LinkClient.request` does. */
export class LinkLog {
  private readonly client: LinkClient;
  private most = MOST_HEADS;

  constructor(client: LinkClient) {
    this.client = client;
  }

  /** Where the log stands. */
  async info(): Promise<Record<"sequence" | "run" | "pages" | "next" | "waiting", number> & { busy: Busy }> {
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

  /** The 16 bytes of each of some heads, a stride apart; fewer a request while the line is bad. */
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

  /** A whole page. */
  async page(page: number): Promise<Uint8Array> {
    return (await this.client.request("logPage", { page })).tail;
  }
}
