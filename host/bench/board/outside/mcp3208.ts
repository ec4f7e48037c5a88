// MCP3208, an eight-channel 12-bit converter, bit by bit: start, single-ended, three channel bits, a sample, a null bit, twelve data bits.
import { refuse } from "../chip/fault.ts";

/** Highest clock at a 5 V supply, Hz (Microchip DS21298, as quoted in a public script; see tests/reference/parts.json). */
export const MAX_CLOCK_HZ = 2e6;
const CHANNEL_BITS_END = 5;
const NULL_BIT = 6;
const DATA_BITS = 12;
const CODES = 4096;

/** What drives the data line: 0, 1, or nobody. */
export type Drive = 0 | 1 | undefined;

/** One converter. `codeOf` gives the code of a channel at the moment of sampling, 0 to 4095. */
export class Mcp3208 {
  /** A converter that is missing or dead never drives its data line. */
  dead = false;
  /** Shortest time so far that the select was high between two conversions, ns. The part wants 500 (from memory, unverified). */
  shortestHighNs = Number.POSITIVE_INFINITY;
  readonly #codeOf: (channel: number) => number;
  #selected = false;
  /** False after it was dead, until it is selected anew: what is left of a command means nothing to it. */
  #listens = false;
  #deselectedNs = Number.NEGATIVE_INFINITY;
  /** Clocks since the start bit, the start bit being 1; 0 before it. */
  #clocks = 0;
  #command = 0;
  #code = 0;

  constructor(codeOf: (channel: number) => number) {
    this.#codeOf = codeOf;
  }

  get selected(): boolean {
    return this.#selected;
  }

  /** The select pin took a level; low selects. */
  select(level: 0 | 1, ns: number): void {
    const now = level === 0;
    if (now === this.#selected) return;
    if (now) this.shortestHighNs = Math.min(this.shortestHighNs, ns - this.#deselectedNs);
    this.#selected = now;
    this.#listens = now;
    this.#clocks = 0;
    if (!now) this.#deselectedNs = ns;
  }

  /** One clock: takes the bit on its data input, returns what it drives on its output while the clock rises. */
  clock(input: 0 | 1, clockHz: number): Drive {
    if (this.dead) this.#listens = false;
    if (!this.#listens) return undefined;
    if (clockHz > MAX_CLOCK_HZ) refuse(`converter clocked at ${clockHz} Hz`);
    if (this.#clocks === 0) {
      this.#clocks = input;
      this.#command = 0;
      return undefined;
    }
    this.#clocks++;
    if (this.#clocks <= CHANNEL_BITS_END) this.#takeCommandBit(input);
    if (this.#clocks === NULL_BIT) this.#sample();
    return this.#output(this.#clocks - NULL_BIT - 1);
  }

  #takeCommandBit(input: 0 | 1): void {
    this.#command = 2 * this.#command + input;
  }

  #sample(): void {
    if ((this.#command & 8) === 0) refuse("differential conversion: not modelled");
    this.#code = Math.max(0, Math.min(CODES - 1, Math.floor(this.#codeOf(this.#command & 7))));
  }

  /** `place` 0 is the null bit, 1 to 12 the data from its highest bit; after that the data again from its lowest. */
  #output(place: number): Drive {
    if (place < 0) return undefined;
    if (place === 0) return 0;
    const bit = place <= DATA_BITS ? DATA_BITS - place : place - DATA_BITS;
    return bit < DATA_BITS && ((this.#code >> bit) & 1) === 1 ? 1 : 0;
  }
}
