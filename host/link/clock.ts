// The clock of the link. Deadlines use it, so that they also run in the virtual time of a test or of an emulated board.

export interface Clock {
  /** Milliseconds since an arbitrary moment; never goes backwards. */
  nowMs(): number;
  /** Calls `action` once after `ms`. The returned function cancels the call. */
  after(ms: number, call: () => void): () => void;
}

/** Resolves when this much time has passed on a clock. */
export const pauseOn =
  (clock: Clock) =>
  (ms: number): Promise<void> =>
    new Promise((resolve) => void clock.after(ms, resolve));

/** The computer's own clock. */
export const realClock: Clock = {
  nowMs: () => performance.now(),
  after(ms, call) {
    const timer = setTimeout(call, ms);
    return () => clearTimeout(timer);
  },
};
