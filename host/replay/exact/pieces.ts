// Pieces of what the core has read, out of the pages that hold them: each begins with the core's state, and then goes on tick by tick.
import { decodeTicksPage, type TicksPage } from "#host/logbook/ticks-page.ts";
import { LIVE } from "#shared-schema/link/columns.ts";
import { CORE_MEMORY_BYTES, OUTPUTS } from "#shared-schema/model/blocks.ts";
import { place } from "#shared-schema/model/layout.ts";
import { BitReader } from "./bits.ts";
import { type Tick, tickIn } from "./tick.ts";
import { TickReader } from "./tick-reader.ts";

/** A stretch of the core's memory. */
export interface Area {
  readonly at: number;
  readonly bytes: Uint8Array;
}

/** State and ticks. */
export interface Piece {
  /** CRC-32C that the image carries. */
  readonly imageCrc: number;
  /** What ticks move, as it was before the first of them. */
  readonly areas: readonly Area[];
  readonly ticks: readonly Tick[];
  /** It goes on where the piece before it ends. */
  readonly follows: boolean;
}

const MOST_AREAS = 64;
const HALF_BITS = 16;
const WORD_BITS = 32;
const WORD_BYTES = 4;

const offsetIn = (block: typeof OUTPUTS, name: string): number =>
  block.address + place(block).find(({ field }) => field.name === name)!.offset;
const TOP_AT = offsetIn(OUTPUTS, "top");
const TIME_AT = offsetIn(LIVE, "timeUs");

/** Words in groups: a bit for each that is another one than the word two before it, and those. */
function areaOf(reader: BitReader): Area {
  const at = reader.bits(HALF_BITS);
  const words = new Uint32Array(reader.bits(HALF_BITS));
  for (let first = 0; first < words.length; first += WORD_BITS) {
    const mask = reader.bits(WORD_BITS);
    for (let n = first; n < Math.min(first + WORD_BITS, words.length); n++)
      words[n] = (mask >>> (n - first)) & 1 ? reader.bits(WORD_BITS) : (words[n - 2] ?? 0);
  }
  const bytes = new Uint8Array(words.length * WORD_BYTES);
  const view = new DataView(bytes.buffer);
  for (const [n, word] of words.entries()) view.setUint32(n * WORD_BYTES, word, true);
  return { at, bytes };
}

/** A memory with nothing but these areas. */
function memoryOf(areas: readonly Area[]): DataView {
  const memory = new Uint8Array(CORE_MEMORY_BYTES);
  for (const { at, bytes } of areas) memory.set(bytes, at);
  return new DataView(memory.buffer);
}

/** Up to so many ticks: of the last that a page counts, the last bits may lie in the page behind it, which is missing. */
function ticksIn(reader: TickReader, most: number): Tick[] {
  const ticks: Tick[] = [];
  try {
    while (ticks.length < most) ticks.push(reader.next());
  } catch (thrown) {
    if (!(thrown instanceof RangeError)) throw thrown;
  }
  return ticks;
}

/** The pages of a piece up to the first that is missing. Undefined when its state is not whole. */
function pieceOf(pages: readonly TicksPage[], follows: boolean): Piece | undefined {
  try {
    const reader = new BitReader(Buffer.concat(pages.map(({ bytes }) => bytes)));
    const imageCrc = reader.bits(WORD_BITS);
    const areas = Array.from({ length: Math.min(reader.bits(WORD_BITS), MOST_AREAS) }, () => areaOf(reader));
    const view = memoryOf(areas);
    const first = tickIn(view, view.getUint32(TIME_AT, true));
    const ticks = new TickReader(reader, first, view.getUint16(TOP_AT, true) + 1);
    return { imageCrc, areas, follows, ticks: ticksIn(ticks, pages.at(-1)!.ticks) };
  } catch (thrown) {
    if (thrown instanceof RangeError) return undefined;
    throw thrown;
  }
}

/** Pages in rows without a gap, each beginning with a piece. */
function rowsOf(pages: readonly TicksPage[]): TicksPage[][] {
  const rows: TicksPage[][] = [];
  let before: TicksPage | undefined;
  for (const page of pages) {
    if (page.begins) rows.push([page]);
    else if (before && before.number + 1 === page.number) rows.at(-1)?.push(page);
    else before = undefined;
    if (page.begins || before) before = page;
  }
  return rows;
}

/** All pieces of a run, in their order. `pages`: of any kind, in any order; those that are not whole are left out. */
export function piecesOf(pages: readonly Uint8Array[]): Piece[] {
  const byNumber = new Map<number, TicksPage>();
  for (const bytes of pages) {
    const page = decodeTicksPage(bytes);
    if (page) byNumber.set(page.number, page);
  }
  const rows = rowsOf([...byNumber.values()].sort((a, b) => a.number - b.number));
  return rows.flatMap((row, i) => {
    const last = rows[i - 1]?.at(-1);
    const piece = pieceOf(row, last !== undefined && last.number + 1 === row[0]!.number);
    return piece ? [piece] : [];
  });
}
