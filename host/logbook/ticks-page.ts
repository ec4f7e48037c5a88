// Decodes pages of the stored log that hold what the core has read in each tick. A page counts only when its check sum is right.
import { crc32c } from "#host/codec/crc32c.ts";
import { LOG_PAGE } from "#shared-schema/link/columns.ts";

/** Head of such a page. */
export interface TicksHead {
  readonly run: number;
  readonly sequence: number;
  readonly first: boolean;
  readonly last: boolean;
  /** A piece begins in it. */
  readonly begins: boolean;
}

/** A whole page. */
export interface TicksPage extends TicksHead {
  /** Number of the page in its run, from 0. */
  readonly number: number;
  /** Ticks of the piece that have ended by the end of this page. */
  readonly ticks: number;
  readonly bytes: Uint8Array;
}

const viewOf = (bytes: Uint8Array): DataView => new DataView(bytes.buffer, bytes.byteOffset, bytes.length);

/** Decodes the head in the first 16 bytes. Undefined for anything else. */
export function decodeTicksHead(bytes: Uint8Array): TicksHead | undefined {
  const view = viewOf(bytes);
  if (view.getUint16(0, true) !== LOG_PAGE.ticksMagic) return undefined;
  const flags = view.getUint8(3);
  return {
    run: view.getUint32(4, true),
    sequence: view.getUint32(8, true),
    first: (flags & LOG_PAGE.first) !== 0,
    last: (flags & LOG_PAGE.last) !== 0,
    begins: (flags & LOG_PAGE.piece) !== 0,
  };
}

/** Decodes a whole page of 256 bytes. Undefined when it is damaged or of another kind. */
export function decodeTicksPage(bytes: Uint8Array): TicksPage | undefined {
  const head = decodeTicksHead(bytes);
  const view = viewOf(bytes);
  if (!head || view.getUint32(LOG_PAGE.crcAt, true) !== crc32c(bytes.subarray(0, LOG_PAGE.crcAt)))
    return undefined;
  return {
    ...head,
    number: view.getUint16(LOG_PAGE.numberAt, true),
    ticks: view.getUint16(LOG_PAGE.countAt, true),
    bytes: bytes.slice(LOG_PAGE.headBytes, LOG_PAGE.countAt),
  };
}
