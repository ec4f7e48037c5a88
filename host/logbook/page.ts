// Decodes pages of the stored run log as they are in flash. A page counts only when its check sum is right.
import { crc32c } from "#host/codec/crc32c.ts";
import { LOG_PAGE, LOG_RECORD_BYTES } from "#shared-schema/link/columns.ts";

/** Head of a page. */
export interface PageHead {
  /** Records in the page, 1 to 9. */
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
  /** Number of the page in its run, from 0. All but the last page hold as many records as fit. */
  readonly number: number;
  /** Bytes of each record. */
  readonly records: readonly Uint8Array[];
}

const viewOf = (bytes: Uint8Array): DataView => new DataView(bytes.buffer, bytes.byteOffset, bytes.length);

/** Decodes the head in the first 16 bytes of a page, without checking the page's check sum. Undefined for anything else. */
export function decodeHead(bytes: Uint8Array): PageHead | undefined {
  const view = viewOf(bytes);
  const [count, flags] = [view.getUint8(2), view.getUint8(3)];
  if (view.getUint16(0, true) !== LOG_PAGE.magic || count < 1 || count > LOG_PAGE.records) return undefined;
  return {
    count,
    first: (flags & LOG_PAGE.first) !== 0,
    last: (flags & LOG_PAGE.last) !== 0,
    run: view.getUint32(4, true),
    sequence: view.getUint32(8, true),
    settingsCrc: view.getUint32(12, true),
  };
}

/** Decodes a whole page. Undefined when it is damaged or not a page. Throws a RangeError unless it has the length of a page. */
export function decodePage(bytes: Uint8Array): Page | undefined {
  if (bytes.length !== LOG_PAGE.bytes) throw new RangeError(`a page of ${bytes.length} bytes`);
  const head = decodeHead(bytes);
  const sum = viewOf(bytes).getUint32(LOG_PAGE.crcAt, true);
  if (!head || sum !== crc32c(bytes.subarray(0, LOG_PAGE.crcAt))) return undefined;
  const records = Array.from({ length: head.count }, (_, i) => {
    const at = LOG_PAGE.headBytes + i * LOG_RECORD_BYTES;
    return bytes.slice(at, at + LOG_RECORD_BYTES);
  });
  return { head, number: viewOf(bytes).getUint16(LOG_PAGE.numberAt, true), records };
}
