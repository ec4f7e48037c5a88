// Runs a board at the pace of the wall clock, in slices short enough that the event loop stays responsive.

/** What has a time of its own, ns, that can be let pass, us: a board alone or with all that is around it. */
export interface Paced {
  readonly nowNs: number;
  runFor(us: number): void;
}

/** Between two slices, ms. */
const PERIOD_MS = 2;
/** Most virtual time that one slice makes up, ms. */
const MOST_PER_SLICE_MS = 10;
/** Further behind than this, the missing time is let go. */
const MOST_BEHIND_MS = 200;

/** Virtual time follows `performance.now()`; on a computer that is too slow it falls behind instead of piling up. */
export class RealTimePace {
  /** Resolves at `stop` and rejects when the board fails. */
  readonly ended: Promise<void>;
  readonly #board: Paced;
  #timer: NodeJS.Timeout | undefined;
  #offsetMs = 0;
  #end: { resolve(): void; reject(error: unknown): void } | undefined;

  constructor(board: Paced) {
    this.#board = board;
    this.ended = new Promise((resolve, reject) => {
      this.#end = { resolve, reject };
    });
  }

  start(): void {
    this.#offsetMs = performance.now() - this.#board.nowNs / 1e6;
    this.#timer = setInterval(() => this.#slice(), PERIOD_MS);
  }

  stop(): void {
    clearInterval(this.#timer);
    this.#end?.resolve();
  }

  /** Ends with an error, unless it has ended already. */
  fail(error: unknown): void {
    clearInterval(this.#timer);
    this.#end?.reject(error);
  }

  #slice(): void {
    const behindMs = performance.now() - this.#offsetMs - this.#board.nowNs / 1e6;
    if (behindMs > MOST_BEHIND_MS) this.#offsetMs += behindMs - MOST_BEHIND_MS;
    try {
      if (behindMs > 0) this.#board.runFor(Math.min(behindMs, MOST_PER_SLICE_MS) * 1000);
    } catch (error) {
      this.fail(error);
    }
  }
}
