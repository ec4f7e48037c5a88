// A block moved in pieces whose length follows the line: halved when a piece had to be repeated, grown slowly when not.
import { Failure } from "#host/errors/failure.ts";
import type { LinkClient } from "./client.ts";

/** Longest piece, bytes; what `writeData` takes at most. */
const MOST_BYTES = 480;
/** Shortest piece, for a noisy line. */
const LEAST_BYTES = 16;
/** How often in a row a piece may run out of patience, the first time at its full length. */
const MOST_TIMEOUTS = 3;

/** Called with bytes done out of all. */
export type Progress = (done: number, all: number) => void;

/** Moves the piece at `offset` and returns the next offset. */
export type Move = (offset: number, length: number) => Promise<number>;

const timedOut = (error: unknown): boolean => error instanceof Failure && error.code === "link-timeout";

/**
 * Moves everything from `offset` to `all`. A piece that runs out of patience is tried again at the shortest length.
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
    const before = client.counts.repeats;
    try {
      const next = await move(at, Math.min(bytes, all - at));
      if (next <= at || next > all)
        throw new Failure("protocol-mismatch", { what: "the transfer does not get on" });
      at = next;
      timeouts = 0;
      const repeated = client.counts.repeats > before;
      bytes = Math.min(MOST_BYTES, Math.max(LEAST_BYTES, repeated ? bytes >> 1 : bytes + LEAST_BYTES));
    } catch (error) {
      if (!timedOut(error) || ++timeouts === MOST_TIMEOUTS) throw error;
      bytes = LEAST_BYTES;
    }
  }
  progress(all, all);
}
