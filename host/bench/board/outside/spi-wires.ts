// What hangs on SPI0: both converters, and the switch register through a resistor, so that a converter's output wins.
import { gpioOf } from "#shared-schema/model/pins.ts";
import { refuse } from "../chip/fault.ts";
import type { SpiBus } from "../peripherals/spi.ts";
import type { Hc165 } from "./hc165.ts";
import type { Mcp3208 } from "./mcp3208.ts";

const SELECT_A = gpioOf("adcASelect");
const SELECT_B = gpioOf("adcBSelect");

/** Shifts frames bit by bit through everything that is wired to the bus. */
export class SpiWires implements SpiBus {
  /** Level that a short gives the line from the converters; undefined while it is sound. */
  stuck: 0 | 1 | undefined;
  /** The same for the line to the converters, over which they are asked. */
  commandStuck: 0 | 1 | undefined;
  readonly #a: Mcp3208;
  readonly #b: Mcp3208;
  readonly #register: Hc165;

  constructor(a: Mcp3208, b: Mcp3208, register: Hc165) {
    this.#a = a;
    this.#b = b;
    this.#register = register;
  }

  /** A chip select changed. Throws when a frame is on the wires: that would tear it. */
  select(gpio: number, level: 0 | 1, ns: number, frameRuns: boolean): void {
    if (gpio !== SELECT_A && gpio !== SELECT_B) return;
    if (frameRuns) refuse(`chip select GP${gpio} changed inside an SPI frame`);
    if (gpio === SELECT_A) this.#register.load(level);
    (gpio === SELECT_A ? this.#a : this.#b).select(level, ns);
  }

  exchange(value: number, bits: number, clockHz: number): number {
    if (this.#a.selected && this.#b.selected) refuse("both converters selected at once");
    const selected = this.#a.selected ? this.#a : this.#b;
    let received = 0;
    for (let bit = bits - 1; bit >= 0; bit--) {
      const asked = this.commandStuck ?? (((value >> bit) & 1) as 0 | 1);
      received = 2 * received + this.#clock(selected, asked, clockHz);
    }
    return received;
  }

  /** The other converter, and both while none is selected, hear and say nothing. */
  #clock(selected: Mcp3208, asked: 0 | 1, clockHz: number): number {
    const converter = selected.clock(asked, clockHz);
    const register = this.#register.clock();
    return this.stuck ?? converter ?? register;
  }
}
