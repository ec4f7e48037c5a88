// Time as the link sees it, so that every deadline can also run in the virtual time of a test or an emulated board.

export interface Clock {
  /** Milliseconds since some moment, never backwards. */
  nowMs(): number;
  /** Calls once after `ms`; the function returned calls it off. */
  after(ms: number, call: () => void): () => void;
}

/** Settles when so much time has passed on a clock. */
export const pauseOn =
  (clock: Clock) =>
  (ms: number): Promise<void> =>
    new Promise((resolve) => void clock.after(ms, resolve));

/** The computer's own time. */
export const realClock: Clock = {
  nowMs: () => performance.now(),
  after(ms, call) {
    const timer = setTimeout(call, ms);
    return () => clearTimeout(timer);
  },
};
