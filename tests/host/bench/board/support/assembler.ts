// A few ARMv6-M instructions as halfwords (ARMv6-M Architecture Reference Manual, chapter A6), with labels and a literal pool.

type Item =
  | number
  | { readonly kind: "literal" | "branch"; readonly opcode: number; readonly target: number | string };

/** Builds one piece of code for a fixed address, a multiple of 4. */
export class Assembler {
  readonly #address: number;
  readonly #items: Item[] = [];
  readonly #labels = new Map<string, number>();

  constructor(address: number) {
    this.#address = address;
  }

  /** Address of the next instruction. */
  get here(): number {
    return this.#address + 2 * this.#items.length;
  }

  raw(...halfwords: number[]): this {
    this.#items.push(...halfwords);
    return this;
  }

  label(name: string): this {
    this.#labels.set(name, this.#items.length);
    return this;
  }

  /** Rd = value, from the literal pool. */
  load(rd: number, value: number): this {
    this.#items.push({ kind: "literal", opcode: 0x4800 | (rd << 8), target: value >>> 0 });
    return this;
  }

  /** Branches to a label: always, or when the last result was (not) zero. */
  branch(label: string, when: "always" | "zero" | "notZero" = "always"): this {
    const opcode = { always: 0xe000, zero: 0xd000, notZero: 0xd100 }[when];
    this.#items.push({ kind: "branch", opcode, target: label });
    return this;
  }

  /** Writes `value` to a word in memory, through r0 and r1. */
  poke(address: number, value: number): this {
    return this.load(0, address).load(1, value).raw(0x6001);
  }

  /** Copies a word of memory to another address, through r0 and r1. */
  copy(from: number, to: number): this {
    return this.load(0, from).raw(0x6801).load(0, to).raw(0x6001);
  }

  /** Stays here for ever. */
  halt(): this {
    return this.raw(0xe7fe);
  }

  bytes(): Uint8Array {
    const literals: number[] = [];
    const pool = this.#items.length + (this.#items.length % 2);
    const code = this.#items.map((item, at) => {
      if (typeof item === "number") return item;
      if (item.kind === "branch") return item.opcode | this.#offset(item, at);
      literals.push(item.target as number);
      const place = this.#address + 2 * pool + 4 * (literals.length - 1);
      return item.opcode | ((place - ((this.#address + 2 * at + 4) & ~3)) >> 2);
    });
    const out = new DataView(new ArrayBuffer(2 * pool + 4 * literals.length));
    for (const [at, halfword] of code.entries()) out.setUint16(2 * at, halfword, true);
    for (const [at, word] of literals.entries()) out.setUint32(2 * pool + 4 * at, word, true);
    return new Uint8Array(out.buffer);
  }

  #offset(item: { opcode: number; target: number | string }, at: number): number {
    const target = this.#labels.get(item.target as string)!;
    return (target - at - 2) & (item.opcode === 0xe000 ? 0x7ff : 0xff);
  }
}

export const WFI = 0xbf30;
export const NOP = 0xbf00;
export const BX_LR = 0x4770;
export const INTERRUPTS_OFF = 0xb672;
export const INTERRUPTS_ON = 0xb662;
