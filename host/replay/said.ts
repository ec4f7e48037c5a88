// What a controller said of itself at one moment of a run, be it recorded or replayed; the two are compared in this form.

/** One moment. Numbers of mode and first trip (255 for none), bits of the reasons; shares by stage, permille. */
export interface Said {
  /** Ticks since arming began; the tick in which it began is 1. */
  readonly tick: number;
  readonly mode: number;
  readonly trip: number;
  readonly reasons: number;
  readonly shares: readonly number[];
}

/** Ticks are 1 ms apart. */
export const secondsOf = (tick: number): number => tick / 1000;
