// One PWM slice: a counter on the divider's grid; its state between events is arithmetic, not counting.
import type { RP2040 } from "rp2040js";
import { refuse } from "../chip/fault.ts";

const CSR = 0x00;
const DIV = 0x04;
const CTR = 0x08;
const CC = 0x0c;
const CSR_EN = 1;
const CSR_A_INVERT = 1 << 2;
const CSR_B_INVERT = 1 << 3;
const CSR_UNMODELLED = 0xf2;
const DIV_RESET = 1 << 4;

/** What a slice needs of the block that holds it. */
export interface PwmSliceHost {
  readonly sysHz: number;
  drive(index: number, channel: 0 | 1, level: boolean): void;
  wrapped(index: number): void;
}

/** Counter, two compares, top and divider. Phase-correct mode, gating and phase nudges are refused. */
export class PwmSlice {
  readonly #host: PwmSliceHost;
  readonly #index: number;
  readonly #clock: RP2040["clock"];
  readonly #alarm: ReturnType<RP2040["clock"]["createAlarm"]>;
  #csr = 0;
  #div = DIV_RESET;
  #cc = 0;
  #top = 0xffff;
  /** Compare and top in force, taken over at the wrap and when the slice starts. */
  #activeCc = 0;
  #activeTop = 0xffff;
  /** Time of divider step 0, ns, and length of a step, ns. */
  #originNs = 0;
  #stepNs = 0;
  /** Divider step at which the counter was 0. */
  #zeroStep = 0;
  /** Divider step of the alarm that is set. */
  #dueStep = 0;
  /** Counter while stopped. */
  #held = 0;

  constructor(host: PwmSliceHost, index: number, clock: RP2040["clock"]) {
    this.#host = host;
    this.#index = index;
    this.#clock = clock;
    this.#alarm = clock.createAlarm(() => this.#event());
  }

  get enabled(): boolean {
    return (this.#csr & CSR_EN) !== 0;
  }

  reset(): void {
    this.#alarm.cancel();
    this.#csr = 0;
    this.#div = DIV_RESET;
    this.#cc = this.#activeCc = 0;
    this.#top = this.#activeTop = 0xffff;
    this.#held = 0;
    this.#outputs(0);
  }

  read(offset: number): number {
    if (offset === CSR) return this.#csr;
    if (offset === DIV) return this.#div;
    if (offset === CTR) return this.#counter();
    return offset === CC ? this.#cc : this.#top;
  }

  /** Registers in order; what follows CC is TOP. */
  write(offset: number, value: number): void {
    if (offset === CSR) this.#writeCsr(value);
    else if (offset === DIV) this.#writeDivider(value);
    else if (offset === CTR) this.#setCounter(value & 0xffff);
    else if (offset === CC) this.#cc = value;
    else this.#top = value & 0xffff;
  }

  setEnabled(on: boolean): void {
    if (on === this.enabled) return;
    if (!on) {
      this.#held = this.#counter();
      this.#alarm.cancel();
      this.#csr &= ~CSR_EN;
      return;
    }
    this.#csr |= CSR_EN;
    this.#takeOver();
    if (this.#held > this.#activeTop) {
      refuse(
        `PWM slice started at ${this.#held}, above its top ${this.#activeTop}: it would count to 65535 first`,
      );
    }
    this.#start(this.#held);
  }

  /** The system clock has changed: the counter goes on from where it is with the new step. */
  clockChanged(): void {
    if (this.enabled) this.#start(this.#counter());
  }

  #writeCsr(value: number): void {
    if ((value & CSR_UNMODELLED) !== 0) refuse(`PWM slice mode 0x${value.toString(16)} is not modelled`);
    const inverts = CSR_A_INVERT | CSR_B_INVERT;
    this.#csr = (this.#csr & CSR_EN) | (value & inverts);
    this.setEnabled((value & CSR_EN) !== 0);
    this.#outputs(this.#counter());
  }

  #writeDivider(value: number): void {
    if ((value & 0xf) !== 0) refuse("a fractional PWM divider is not modelled");
    const counter = this.#counter();
    this.#div = value & 0xff0;
    if (this.enabled) this.#start(counter);
  }

  #setCounter(value: number): void {
    this.#held = value;
    if (!this.enabled) return;
    if (value > this.#activeTop) refuse(`PWM counter set to ${value}, above its top ${this.#activeTop}`);
    this.#zeroStep = this.#stepNow() - value;
    this.#outputs(value);
    this.#schedule(value);
  }

  #start(counter: number): void {
    this.#originNs = this.#clock.nanos;
    this.#stepNs = ((this.#div >> 4 || 256) * 1e9) / this.#host.sysHz;
    this.#zeroStep = -counter;
    this.#outputs(counter);
    this.#schedule(counter);
  }

  #stepNow(): number {
    return Math.floor((this.#clock.nanos - this.#originNs) / this.#stepNs + 1e-6);
  }

  #counter(): number {
    return this.enabled ? this.#stepNow() - this.#zeroStep : this.#held;
  }

  #takeOver(): void {
    this.#activeCc = this.#cc;
    this.#activeTop = this.#top;
  }

  /** Sets the alarm for the next count at which a channel falls or the counter wraps. */
  #schedule(counter: number): void {
    const wrap = this.#activeTop + 1;
    const a = this.#activeCc & 0xffff;
    const b = this.#activeCc >>> 16;
    const nextA = a > counter && a < wrap ? a : wrap;
    const nextB = b > counter && b < wrap ? b : wrap;
    this.#dueStep = this.#zeroStep + Math.min(nextA, nextB);
    this.#alarm.schedule(this.#originNs + this.#dueStep * this.#stepNs - this.#clock.nanos);
  }

  #event(): void {
    let counter = this.#dueStep - this.#zeroStep;
    if (counter > this.#activeTop) {
      this.#zeroStep = this.#dueStep;
      counter = 0;
      this.#takeOver();
      this.#host.wrapped(this.#index);
    }
    this.#outputs(counter);
    this.#schedule(counter);
  }

  #outputs(counter: number): void {
    const a = counter < (this.#activeCc & 0xffff);
    const b = counter < this.#activeCc >>> 16;
    this.#host.drive(this.#index, 0, a !== ((this.#csr & CSR_A_INVERT) !== 0));
    this.#host.drive(this.#index, 1, b !== ((this.#csr & CSR_B_INVERT) !== 0));
  }
}
