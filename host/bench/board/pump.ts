// Runs a board in slices between the turns of the event loop, for as long as somebody waits for its time to pass.
import type { EmulatedBoard } from "./emulated-board.ts";

/** Virtual time of one slice, microseconds: short enough for the event loop, long enough to cost little. */
const SLICE_US = 1000;

/** Virtual time as a clock for the host side, and the holds that make it run. */
export class Pump {
  readonly board: EmulatedBoard;
  /** What made a slice fail; the pump then stands still. */
  failure: unknown;
  readonly #onFailure: ((failure: unknown) => void)[] = [];
  #holds = 0;
  #scheduled: NodeJS.Immediate | undefined;

  constructor(board: EmulatedBoard) {
    this.board = board;
  }

  /** Keeps virtual time running until the function returned is called. */
  hold(): () => void {
    this.#holds++;
    this.#schedule();
    let held = true;
    return () => {
      if (held) this.#holds--;
      held = false;
    };
  }

  /** Milliseconds of virtual time. */
  nowMs(): number {
    return this.board.nowNs / 1e6;
  }

  /**
   * Calls once after `ms` of virtual time, which runs until then; the function returned calls it off. The call comes
   * when the slice under way is over, so it may run the board itself.
   */
  after(ms: number, call: () => void): () => void {
    const release = this.hold();
    const alarm = this.board.clock.createAlarm(() => {
      release();
      queueMicrotask(call);
    });
    alarm.schedule(ms * 1e6);
    return () => {
      alarm.cancel();
      release();
    };
  }

  /** Calls `listener` when the board fails in a slice. */
  onFailure(listener: (failure: unknown) => void): void {
    this.#onFailure.push(listener);
  }

  #schedule(): void {
    if (this.#scheduled || this.#holds === 0 || this.failure !== undefined) return;
    this.#scheduled = setImmediate(() => this.#slice());
  }

  #slice(): void {
    this.#scheduled = undefined;
    if (this.#holds === 0) return;
    try {
      this.board.runFor(SLICE_US);
    } catch (failure) {
      this.failure = failure;
      for (const listener of this.#onFailure) listener(failure);
    }
    this.#schedule();
  }
}
