// A block moved in pieces whose length follows the line: halved when a piece had to be repeated, grown slowly when not.
import { Failure } from "#host/errors/failure.ts";
import type { LinkClient, RequestOptions } from "./client.ts";

/** Longest piece, bytes; what `writeData` takes at most. */
const MOST_BYTES = 480;
/** Shortest piece, for a noisy line. */
const LEAST_BYTES = 16;
/** A longer piece that does not get through in this time is tried at a quarter of its length. */
const LONG_WITHIN_MS = 600;
/** How often in a row the shortest piece may run out of patience. */
const MOST_TIMEOUTS = 2;

/** Called with bytes done out of all. */
export type Progress = (done: number, all: number) => void;

/** Moves the piece at `offset` and returns the next offset; the options go into its request. */
export type Move = (offset: number, length: number, options: RequestOptions) => Promise<number>;

const bounded = (bytes: number): number => Math.min(MOST_BYTES, Math.max(LEAST_BYTES, bytes));

const timedOut = (error: unknown): boolean => error instanceof Failure && error.code === "link-timeout";

/**
 * Moves everything from `offset` to `all`.
 * Fails as `move` does, and with `protocol-mismatch` when the other side does not get on.
 */
export async function inPieces(
  client: LinkClient,
  offset: number,
  all: number,
  progress: Progress,
  move: Move,
): Promise<void> {
  let bytes = MOST_BYTES;
  let timeouts = 0;
  for (let at = offset; at < all; ) {
    progress(at, all);
    const length = Math.min(bytes, all - at);
    const long = length > LEAST_BYTES;
    const before = client.counts.repeats;
    try {
      const next = await move(at, length, long ? { withinMs: LONG_WITHIN_MS } : {});
      if (next <= at || next > all)
        throw new Failure("protocol-mismatch", { what: "the transfer does not get on" });
      at = next;
      timeouts = 0;
      bytes = bounded(client.counts.repeats > before ? bytes >> 1 : bytes + LEAST_BYTES);
    } catch (error) {
      if (!timedOut(error) || (!long && ++timeouts === MOST_TIMEOUTS)) throw error;
      bytes = bounded(length >> 2);
    }
  }
  progress(all, all);
}
