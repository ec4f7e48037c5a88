// The controller in a closed loop, as the car meets it: connectors in, current in the solenoids out. A core rig or an emulated board is behind it.
import type { Edge } from "../board/pins.ts";
import type { Connectors } from "./connectors.ts";

/** Solenoids in pin order: nitrous 1, fuel 1, nitrous 2, ... */
export const SOLENOIDS = 8;
/** Connectors move this long after a tick: by then it has handed its outputs to the pins. */
export const AFTER_TICK_US = 100;

/** One controller with its settings stored, in mode off. */
export interface Controller {
  /** Lets so many microseconds go by with the connectors as they are. */
  run(connectors: Connectors, us: number): void;
  /** Share of the last stretch in which each solenoid drew current, in pin order. */
  readonly on: Float64Array;
  /** What the core says of itself: numbers of mode and first trip (255 for none), bits of the reasons and of the stages that flow. */
  readonly mode: number;
  readonly trip: number;
  readonly reasons: number;
  readonly flowing: number;
  sharePermille(stage: number): number;
  /** Edges of a solenoid pin and of the master relay's contact so far; times in ns since the controller was made. */
  pinEdges(solenoid: number): readonly Edge[];
  readonly relayEdges: readonly Edge[];
}

/** Level of a pin over one stretch of time, from its edges: the share of the stretch in which it was high. */
export class HighTime {
  high = false;
  private sinceNs = 0;
  private highNs = 0;

  /** The pin takes a level. */
  edge(ns: number, high: boolean): void {
    if (this.high) this.highNs += ns - this.sinceNs;
    this.sinceNs = ns;
    this.high = high;
  }

  /** Ends a stretch that began at `fromNs`, and returns the share. */
  take(fromNs: number, toNs: number): number {
    if (this.high) this.highNs += toNs - this.sinceNs;
    const share = this.highNs / (toNs - fromNs);
    this.sinceNs = toNs;
    this.highNs = 0;
    return share;
  }
}
