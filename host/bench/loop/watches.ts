// What is kept of a closed loop beside its time slip: wheelspin, changes of what the core says, and what held off or tripped.
import { INTERLOCKS, MODES } from "#shared-schema/model/interlocks.ts";
import type { ClosedLoop } from "./closed-loop.ts";

/** Wheelspin of a run: the worst slip, when, the slip at which the tyres grip most, and time beyond it, s. */
export interface Wheelspin {
  readonly worst: number;
  readonly worstAtS: number;
  readonly peak: number;
  readonly overS: number;
}

/** Follows the driven wheels; call `look` after every step of a run that counts. */
export class SpinWatch {
  private worst = 0;
  private worstAtS = 0;
  private overS = 0;
  private peak = 0;

  look(loop: ClosedLoop, dtS: number): void {
    const { slip, peakSlip } = loop.motion;
    this.peak = peakSlip;
    if (slip > peakSlip) this.overS += dtS;
    if (slip <= this.worst) return;
    this.worst = slip;
    this.worstAtS = loop.nowS;
  }

  /** Was a wheel ever beyond the peak? */
  get isOver(): boolean {
    return this.overS > 0;
  }

  get spin(): Wheelspin {
    return { worst: this.worst, worstAtS: this.worstAtS, peak: this.peak, overS: this.overS };
  }
}

/** What the core said from a moment on, until the next. */
export interface Said {
  readonly s: number;
  readonly mode: string;
  /** Interlock that tripped first, by its id; undefined for none. */
  readonly trip: string | undefined;
  readonly reasons: number;
  readonly flowing: number;
}

const NO_TRIP = 255;

/** Follows what the core says of itself. */
export class SaidWatch {
  readonly said: Said[] = [];
  private mode = -1;
  private trip = -1;
  private reasons = -1;
  private flowing = -1;

  look(loop: ClosedLoop): void {
    const { mode, trip, reasons, flowing } = loop.controller;
    if (this.isAsBefore(mode, trip, reasons, flowing)) return;
    [this.mode, this.trip, this.reasons, this.flowing] = [mode, trip, reasons, flowing];
    const row = trip === NO_TRIP ? undefined : INTERLOCKS[trip]?.id;
    this.said.push({ s: loop.nowS, mode: MODES[mode] ?? `mode ${mode}`, trip: row, reasons, flowing });
  }

  private isAsBefore(mode: number, trip: number, reasons: number, flowing: number): boolean {
    return mode === this.mode && trip === this.trip && reasons === this.reasons && flowing === this.flowing;
  }
}

/** How long and how often an interlock held flow off, s. */
export interface Held {
  readonly id: string;
  readonly forS: number;
  readonly times: number;
  readonly firstS: number;
}

/** Everything that held off between two times, in the order in which it began. */
export function heldOff(said: readonly Said[], fromS: number, toS: number): Held[] {
  const held = new Map<number, { forS: number; times: number; firstS: number; untilS: number }>();
  said.forEach(({ s, reasons }, i) => {
    const [beginS, endS] = [Math.max(s, fromS), Math.min(said[i + 1]?.s ?? toS, toS)];
    if (endS <= beginS) return;
    for (let bit = 0; bit < 32; bit++) {
      if (((reasons >>> bit) & 1) === 0) continue;
      const before = held.get(bit) ?? { forS: 0, times: 0, firstS: beginS, untilS: -1 };
      before.times += before.untilS === beginS ? 0 : 1;
      before.forS += endS - beginS;
      before.untilS = endS;
      held.set(bit, before);
    }
  });
  return [...held].map(([bit, { forS, times, firstS }]) => ({
    id: INTERLOCKS[bit]?.id ?? `reason ${bit}`,
    forS,
    times,
    firstS,
  }));
}

/** Ids of all interlocks that tripped, in order. */
export const tripped = (said: readonly Said[]): string[] => [
  ...new Set(said.flatMap(({ trip }) => (trip === undefined ? [] : [trip]))),
];
