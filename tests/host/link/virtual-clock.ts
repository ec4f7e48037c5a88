// Virtual time for link tests: nothing sleeps; the next due call runs when all that is under way has settled.
import type { Clock } from "#host/link/clock.ts";

/** Real time without any call due after which a wait is taken to have no deadline; module loading takes real time. */
const HANGS_MS = 120_000;

interface Due {
  readonly atMs: number;
  readonly call: () => void;
}

/** A clock that only moves when told. */
export class VirtualClock implements Clock {
  private now = 0;
  private due: Due[] = [];

  nowMs(): number {
    return this.now;
  }

  after(ms: number, call: () => void): () => void {
    const entry: Due = { atMs: this.now + Math.max(0, ms), call };
    const at = this.due.findIndex((other) => other.atMs > entry.atMs);
    this.due.splice(at < 0 ? this.due.length : at, 0, entry);
    return () => {
      this.due = this.due.filter((other) => other !== entry);
    };
  }

  /** Runs the next call that is due, if any. */
  private step(): boolean {
    const next = this.due.shift();
    if (!next) return false;
    this.now = next.atMs;
    next.call();
    return true;
  }

  /** Lets time pass until the work has settled. Throws when it waits for nothing that could come. */
  async run<T>(work: Promise<T>): Promise<T> {
    let settled = false;
    const done = work.finally(() => {
      settled = true;
    });
    done.catch(() => undefined);
    for (let busyAt = performance.now(); !settled; ) {
      await new Promise((resolve) => setImmediate(resolve));
      if (!settled && this.step()) busyAt = performance.now();
      if (performance.now() - busyAt > HANGS_MS) throw new Error("it waits without a deadline");
    }
    return done;
  }
}
