// The cache in front of the flash: 16 KiB in two ways; a word that it does not hold costs a read over the serial interface.

const WORDS = 4096;
const SETS = WORDS / 2;
const NONE = -1;

/** Which words are held. A miss fetches one word: the serial interface is set up for frames of 32 bits. */
export class XipCache {
  readonly #first = new Int32Array(SETS).fill(NONE);
  readonly #second = new Int32Array(SETS).fill(NONE);

  /** Forgets everything. */
  flush(): void {
    this.#first.fill(NONE);
    this.#second.fill(NONE);
  }

  /** Looks at the word at an offset and holds it from now on; true when it was held. The older of two ways gives way. */
  holds(offset: number): boolean {
    const word = offset >>> 2;
    const set = word % SETS;
    if (this.#first[set] === word) return true;
    const held = this.#second[set] === word;
    this.#second[set] = this.#first[set]!;
    this.#first[set] = word;
    return held;
  }
}
