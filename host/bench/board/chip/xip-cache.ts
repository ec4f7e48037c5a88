// The cache in front of the flash: 16 KiB in two ways; a word that it does not hold costs a read over the serial interface.

const WORDS = 4096;
const SETS = WORDS / 2;
const NONE = -1;

/** Words as they were read. A miss fetches one: the serial interface is set up for frames of 32 bits. */
export class XipCache {
  /** Word numbers of both ways, the newer of a set first, and their values in the same places. */
  readonly #words = new Int32Array(WORDS).fill(NONE);
  readonly #values = new Uint32Array(WORDS);

  /** Forgets everything. */
  flush(): void {
    this.#words.fill(NONE);
  }

  /** The word at an offset, from what is held or by `fetch`; the older of two ways gives way. */
  word(offset: number, fetch: (offset: number) => number): number {
    const word = offset >>> 2;
    const newer = 2 * (word % SETS);
    const older = newer + 1;
    if (this.#words[newer] === word) return this.#values[newer]!;
    const value = this.#words[older] === word ? this.#values[older]! : fetch(offset);
    this.#words[older] = this.#words[newer]!;
    this.#values[older] = this.#values[newer]!;
    this.#words[newer] = word;
    this.#values[newer] = value;
    return value;
  }
}
