// XOSC: the crystal counts as stable when its start-up counter has run out, whether it is or not.
import { BasePeripheral, type RP2040 } from "rp2040js";
import { refuse } from "../chip/fault.ts";
import { CRYSTAL_HZ, type Crystal } from "../outside/crystal.ts";

const CTRL = 0x00;
const STATUS = 0x04;
const STARTUP = 0x0c;
const CTRL_RANGE_1_15MHZ = 0xaa0;
const CTRL_RANGE = 0xfff;
const ENABLE = 0xfab;
const DISABLE = 0xd1e;
const STATUS_STABLE = 0x80000000;
const STATUS_ENABLED = 1 << 12;
const STARTUP_DELAY = 0x3fff;
/** From memory; the program sets its own before it enables the oscillator. */
const STARTUP_RESET = 0xc4;
const CYCLES_PER_COUNT = 256;

/** What the oscillator holds through a reset that leaves it alone. */
export interface XoscLegacy {
  readonly control: number;
  readonly startup: number;
}

/** Takes the place of the package's, whose crystal is stable at once. Dormant mode is not modelled. */
export class Xosc extends BasePeripheral {
  readonly #crystal: Crystal;
  readonly #waitForStable: (ns: number) => void;
  #control: number;
  #startup: number;

  /** `waitForStable` may let time pass up to that moment: the program polls the status. */
  constructor(
    chip: RP2040,
    crystal: Crystal,
    legacy: XoscLegacy | undefined,
    waitForStable: (ns: number) => void,
  ) {
    super(chip, "XOSC");
    this.#crystal = crystal;
    this.#waitForStable = waitForStable;
    this.#control = legacy?.control ?? 0;
    this.#startup = legacy?.startup ?? STARTUP_RESET;
  }

  get legacy(): XoscLegacy {
    return { control: this.#control, startup: this.#startup };
  }

  /** The start-up counter has run out: it counts the crystal's cycles. */
  get stable(): boolean {
    return this.#crystal.swings && this.#crystal.runningNs >= this.#countNs();
  }

  /** Refuses a clock from a crystal that is off, not waited for, or not steady yet. */
  require(what: string): void {
    if (!this.stable) refuse(`${what} taken from a crystal that is off or not stable`);
    if (!this.#crystal.steady) {
      refuse(
        `${what} taken ${this.#crystal.runningNs / 1e6} ms after the crystal's enable: it is not steady yet`,
      );
    }
  }

  /** When the counter runs out; never without the crystal's cycles. */
  #stableNs(): number {
    return this.#crystal.swings ? this.#crystal.onNs + this.#countNs() : Number.POSITIVE_INFINITY;
  }

  #countNs(): number {
    return ((this.#startup & STARTUP_DELAY) * CYCLES_PER_COUNT * 1e9) / CRYSTAL_HZ;
  }

  override readUint32(offset: number): number {
    if (offset === CTRL) return this.#control;
    if (offset === STARTUP) return this.#startup;
    if (offset !== STATUS) return super.readUint32(offset);
    if (this.#enabled() && !this.stable) this.#waitForStable(this.#stableNs());
    return (this.stable ? STATUS_STABLE : 0) | (this.#enabled() ? STATUS_ENABLED : 0);
  }

  override writeUint32(offset: number, value: number): void {
    if (offset === CTRL) this.#writeControl(value);
    else if (offset === STARTUP) this.#startup = value;
    else super.writeUint32(offset, value);
  }

  #enabled(): boolean {
    return this.#crystal.onNs !== Number.POSITIVE_INFINITY;
  }

  /** The lower twelve bits are the range, the upper twelve a word for on or off. */
  #writeControl(value: number): void {
    const word = value >>> 12;
    if ((value & CTRL_RANGE) !== CTRL_RANGE_1_15MHZ)
      refuse(`XOSC range 0x${(value & CTRL_RANGE).toString(16)}`);
    if (word !== 0 && word !== ENABLE && word !== DISABLE) refuse(`XOSC enable word 0x${word.toString(16)}`);
    this.#control = value;
    if (word === ENABLE) this.#crystal.enable();
    if (word === DISABLE) this.#crystal.stop();
  }
}
