// A core's memory as it was: only the blocks that differ from the start are kept, since most of it never changes.

/** Words of a block. */
const BLOCK = 16;

/** The blocks that differ, by number, and their words. */
export interface Snapshot {
  readonly blocks: Uint16Array;
  readonly words: Uint32Array;
}

/** Takes memory back to any moment at which a snapshot was taken. */
export class Snapshots {
  private readonly words: Uint32Array;
  private readonly start: Uint32Array;

  /** `words` are those that are kept, as they are now. */
  constructor(words: Uint32Array) {
    this.words = words;
    this.start = words.slice();
  }

  take(): Snapshot {
    const { words, start } = this;
    const blocks: number[] = [];
    for (let at = 0; at < words.length; at += BLOCK) {
      let i = at;
      while (i < at + BLOCK && words[i] === start[i]) i++;
      if (i < at + BLOCK) blocks.push(at / BLOCK);
    }
    const kept = new Uint32Array(blocks.length * BLOCK);
    blocks.forEach((block, i) => {
      kept.set(words.subarray(block * BLOCK, (block + 1) * BLOCK), i * BLOCK);
    });
    return { blocks: Uint16Array.from(blocks), words: kept };
  }

  restore({ blocks, words }: Snapshot): void {
    this.words.set(this.start);
    for (let i = 0; i < blocks.length; i++)
      this.words.set(words.subarray(i * BLOCK, (i + 1) * BLOCK), blocks[i]! * BLOCK);
  }
}
