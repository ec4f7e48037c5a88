/** A solenoid valve in motion: it opens after its pin has been high for the opening time, and shuts after it has been low for the closing time. */
import type { ValveData } from "./supply-data.ts";

/** Opening time, s, at a battery voltage: straight between 10, 12 and 14 V, ends held. */
export function openingS(data: ValveData, volts: number): number {
  if (volts <= 10) return data.opening10VS;
  if (volts >= 14) return data.opening14VS;
  const { opening10VS, opening12VS, opening14VS } = data;
  if (volts < 12) return opening10VS + ((opening12VS - opening10VS) * (volts - 10)) / 2;
  return opening12VS + ((opening14VS - opening12VS) * (volts - 12)) / 2;
}

/** One valve. */
export class Valve {
  private readonly data: ValveData;
  /** The pin at the end of the last step, for how long it has been so, and whether the valve is open. */
  private high = false;
  private sinceS = Number.POSITIVE_INFINITY;
  private open = false;

  constructor(data: ValveData) {
    this.data = data;
  }

  /**
   * Passes `dtS`, s, in which the pin is high for a share `on` of the time, in one piece that joins the last step's end if that was
   * high. Returns the share of the step in which the valve was open.
   */
  step(dtS: number, on: number, volts: number): number {
    if (on <= 0 && !this.high && !this.open) return 0;
    if (on >= 1 && this.high && this.open) return 1;
    if (on <= 0) return this.pass(dtS, false, volts) / dtS;
    if (on >= 1) return this.pass(dtS, true, volts) / dtS;
    const first = this.high;
    const firstS = dtS * (first ? on : 1 - on);
    return (this.pass(firstS, first, volts) + this.pass(dtS - firstS, !first, volts)) / dtS;
  }

  /** Passes a stretch with a steady pin; returns how long the valve was open in it, s. */
  private pass(lengthS: number, high: boolean, volts: number): number {
    if (high !== this.high) {
      this.high = high;
      this.sinceS = 0;
    }
    const before = this.open;
    const delayS = high ? openingS(this.data, volts) : this.data.closingS;
    const leftS = before === high ? 0 : Math.min(lengthS, Math.max(0, delayS - this.sinceS));
    this.sinceS += lengthS;
    if (this.sinceS >= delayS) this.open = high;
    return (before ? leftS : 0) + (high && (before || this.open) ? lengthS - leftS : 0);
  }
}

/** A valve that is shut. */
export const createValve = (data: ValveData): Valve => new Valve(data);
