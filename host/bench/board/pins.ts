// What happens at the pins: the level of every output, and every edge with its time. An undriven pin has the level its board gives it.
import { LAMP_GPIO, PINS } from "#shared-schema/model/pins.ts";

/** One change of a pin, or of another two-valued thing. */
export interface Edge {
  /** Virtual time, ns. */
  readonly ns: number;
  readonly level: 0 | 1;
}

/** Names of the outputs whose edges are kept: all but the serial lines, and the board's own light as `lamp`. */
const RECORDED = [
  ...PINS.filter((pin) => pin.kind === "solenoid" || pin.kind === "output"),
  { name: "lamp", gpio: LAMP_GPIO, safe: 0 as const },
];
/** How many GPIOs the chip has. */
export const GPIOS = 30;

/** Levels and edges of a board's pins. */
export class PinRecorder {
  readonly #levels = new Uint8Array(GPIOS);
  readonly #edges = new Map<string, Edge[]>();
  readonly #names = new Map<number, string>();
  readonly #listeners: ((gpio: number, level: 0 | 1) => void)[] = [];

  constructor() {
    for (const pin of PINS) this.#levels[pin.gpio] = pin.safe;
    for (const { name, gpio } of RECORDED) {
      this.#names.set(gpio, name);
      this.#edges.set(name, []);
    }
  }

  /** Level that the board's own resistors give a pin that nothing drives. */
  static idleLevel(gpio: number): 0 | 1 {
    return PINS.find((pin) => pin.gpio === gpio)?.safe ?? 0;
  }

  /** Present level of a GPIO. */
  level(gpio: number): 0 | 1 {
    return this.#levels[gpio] === 1 ? 1 : 0;
  }

  /** Edges of an output since the start or the last `forget`, oldest first. Throws on a name that is not recorded. */
  edges(name: string): readonly Edge[] {
    const found = this.#edges.get(name);
    if (!found) throw new Error(`no recorded output named ${name}`);
    return found;
  }

  /** Drops the edges kept so far. */
  forget(): void {
    for (const edges of this.#edges.values()) edges.length = 0;
  }

  /** Calls `listener` on every change of any pin. */
  onChange(listener: (gpio: number, level: 0 | 1) => void): void {
    this.#listeners.push(listener);
  }

  /** A pin has taken a level. */
  set(gpio: number, level: 0 | 1, ns: number): void {
    if (this.#levels[gpio] === level) return;
    this.#levels[gpio] = level;
    const name = this.#names.get(gpio);
    if (name !== undefined) this.#edges.get(name)!.push({ ns, level });
    for (const listener of this.#listeners) listener(gpio, level);
  }
}
