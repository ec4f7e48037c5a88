// A pulse input driven by a speed: edges at exact times, any number of them in one step at the same cost.
import type { Pulses } from "./raw.ts";

/** Makes pulses at a rate that may change between steps. */
export class PulseTrain {
  readonly pulses: Pulses = { count: 0, edgeUs: 0, periodUs: 0 };
  /** Part of a pulse that has gone by since the last edge. A square wave that begins low rises in the middle of its first. */
  private phase = 0.5;
  /** The time of the last edge may be used for a period. */
  private known = true;

  /** Edges were missed: two more are needed for the next period, as after flash work. */
  forget(): void {
    this.known = false;
    this.pulses.periodUs = 0;
  }

  /** Starts as if the rate (pulses a microsecond) had been there for a long time. */
  prime(nowUs: number, rate: number): void {
    if (rate <= 0) return;
    this.pulses.count = 2;
    this.pulses.periodUs = Math.max(1, Math.round(1 / rate));
    this.pulses.edgeUs = nowUs;
    this.phase = 0;
  }

  /** Goes on from `fromUs` to `toUs`. */
  advance(fromUs: number, toUs: number, rate: number): void {
    const phase = this.phase + rate * (toUs - fromUs);
    const edges = Math.floor(phase);
    this.phase = phase - edges;
    if (edges === 0) return;
    const last = Math.min(toUs, Math.max(fromUs, Math.floor(toUs - this.phase / rate)));
    this.edge(edges, last, rate);
  }

  /** Adds `edges` edges, the last at `atUs`; `rate` tells how far apart they lay when there are several. */
  edge(edges: number, atUs: number, rate: number): void {
    const { pulses } = this;
    const first = pulses.count === 0 || !this.known;
    this.known = true;
    pulses.count += edges;
    const between = edges > 1 ? Math.max(1, Math.round(1 / rate)) : Math.max(1, atUs - pulses.edgeUs);
    pulses.periodUs = first && edges === 1 ? 0 : between;
    pulses.edgeUs = atUs;
  }
}
