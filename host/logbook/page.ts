// Decodes pages of the stored run log as they are in flash. A page counts only when its check sum is right.
import { crc32c } from "#host/codec/crc32c.ts";
import { LOG_PAGE, LOG_RECORD_BYTES, LOG_RECORD_WORDS } from "#shared-schema/link/columns.ts";

/** Head of a page. */
export interface PageHead {
  /** Records in the page. */
  readonly count: number;
  /** Is it the first, or the last, page of its run? */
  readonly first: boolean;
  readonly last: boolean;
  readonly run: number;
  readonly sequence: number;
  /** CRC-32C of the settings that were active. */
  readonly settingsCrc: number;
}

/** A whole page. */
export interface Page {
  readonly head: PageHead;
  /** Number of the page in its run, from 0. */
  readonly number: number;
  /** Bytes of each record. */
  readonly records: readonly Uint8Array[];
}

const WORD = 2;

const viewOf = (bytes: Uint8Array): DataView => new DataView(bytes.buffer, bytes.byteOffset, bytes.length);

/** Decodes the head in the first 16 bytes of a page, without checking the page's check sum. Undefined for anything else. */
export function decodeHead(bytes: Uint8Array): PageHead | undefined {
  const view = viewOf(bytes);
  const [count, flags] = [view.getUint8(2), view.getUint8(3)];
  if (view.getUint16(0, true) !== LOG_PAGE.magic || count < 1) return undefined;
  return {
    count,
    first: (flags & LOG_PAGE.first) !== 0,
    last: (flags & LOG_PAGE.last) !== 0,
    run: view.getUint32(4, true),
    sequence: view.getUint32(8, true),
    settingsCrc: view.getUint32(12, true),
  };
}

/** The first record whole; then a mask of the words that are others than expected, and those. Undefined when they do not fit. */
function unpacked(view: DataView, count: number): Uint8Array[] | undefined {
  const words = Array.from({ length: LOG_RECORD_WORDS }, (_, n) => view.getUint16(WORD * n, true));
  const records = [recordOf(words)];
  for (let at = LOG_RECORD_BYTES; records.length < count; ) {
    words[0] = (words[0]! + 1) & 0xffff;
    if (at + WORD > view.byteLength) return undefined;
    const mask = view.getUint16(at, true);
    at += WORD;
    for (const n of words.keys()) {
      if (!((mask >> n) & 1)) continue;
      if (at + WORD > view.byteLength) return undefined;
      words[n] = view.getUint16(at, true);
      at += WORD;
    }
    records.push(recordOf(words));
  }
  return records;
}

function recordOf(words: readonly number[]): Uint8Array {
  const record = new Uint8Array(LOG_RECORD_BYTES);
  const view = viewOf(record);
  for (const [n, word] of words.entries()) view.setUint16(WORD * n, word, true);
  return record;
}

/** Decodes a whole page. Undefined when it is damaged or not a page. Throws a RangeError unless it has the length of a page. */
export function decodePage(bytes: Uint8Array): Page | undefined {
  if (bytes.length !== LOG_PAGE.bytes) throw new RangeError(`a page of ${bytes.length} bytes`);
  const head = decodeHead(bytes);
  const sum = viewOf(bytes).getUint32(LOG_PAGE.crcAt, true);
  if (!head || sum !== crc32c(bytes.subarray(0, LOG_PAGE.crcAt))) return undefined;
  const records = unpacked(viewOf(bytes.subarray(LOG_PAGE.headBytes, LOG_PAGE.numberAt)), head.count);
  if (!records) return undefined;
  return { head, number: viewOf(bytes).getUint16(LOG_PAGE.numberAt, true), records };
}
