// 74HC165, the shift register that reads the slow switches: loads while its load pin is low, shifts on rising clocks while it is high.

/** Faults: its output wire open, so that the line's pull-up is read; dead, its output low; its serial input low. */
export type RegisterFault = "none" | "open" | "dead" | "serial-low";

/** Serial input tied high: eight clocks after a load only ones come out. Input H is bit 7 and comes first. */
export class Hc165 {
  fault: RegisterFault = "none";
  #inputs = 0x80;
  #register = 0x80;
  #loading = false;

  /** Sets parallel inputs A (bit 0) to H (bit 7); H is tied high on the board. */
  setInputs(bits: number): void {
    this.#inputs = (bits & 0x7f) | 0x80;
    if (this.#loading) this.#register = this.#inputs;
  }

  /** The load pin took a level; low loads. */
  load(level: 0 | 1): void {
    this.#loading = level === 0;
    if (this.#loading) this.#register = this.#inputs;
  }

  /** Output while the clock rises; the register shifts after it, unless it is loading. */
  clock(): 0 | 1 {
    const out = (this.#register & 0x80) !== 0 ? 1 : 0;
    const next = this.fault === "serial-low" ? 0 : 1;
    if (!this.#loading) this.#register = ((this.#register << 1) | next) & 0xff;
    if (this.fault === "open") return 1;
    return this.fault === "dead" ? 0 : out;
  }
}
