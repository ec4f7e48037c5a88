// The link's side of the stored log: where it stands, heads and any bytes as they lie in flash, and the wish to erase it.
import { ANSWER, answered, BODY, refused } from "./answers";
import { flashRead } from "./board";
import { long, putLong, putShort, short } from "./bytes";
import * as B from "./generated/blocks";
import * as N from "./generated/numbers";
import { log } from "./log";
import { eraseAll, LOG_PAGES, LOG_SECTORS, nextPage, pagesWaiting, readHead, records, runs } from "./runs";

const MOST_HEADS: u32 = 31;
const MOST_STRIDE: u32 = 4_096;
const ALL_PAGES: u32 = (B.FLASH_LOG_END - B.FLASH_LOG_START) / B.FLASH_PAGE;
const LOG_BYTES: u32 = B.FLASH_LOG_END - B.FLASH_LOG_START;

function busy(): u32 {
  if (runs.erasing < LOG_SECTORS) return 2;
  return log.phase === 2 ? 1 : 0;
}

export function logInfo(): u32 {
  putLong(ANSWER + N.LOG_INFO_ANSWER_SEQUENCE, records.sequence);
  putLong(ANSWER + N.LOG_INFO_ANSWER_RUN, runs.run);
  putShort(ANSWER + N.LOG_INFO_ANSWER_PAGES, LOG_PAGES);
  putShort(ANSWER + N.LOG_INFO_ANSWER_NEXT, nextPage(records));
  putShort(ANSWER + N.LOG_INFO_ANSWER_WAITING, pagesWaiting());
  store<u8>(ANSWER, busy() as u8, N.LOG_INFO_ANSWER_BUSY);
  return answered(N.MESSAGE_LOG_INFO, N.LOG_INFO_ANSWER_BYTES);
}

/** A page further on, in the same part of the log: records come first, then ticks. */
function placeFrom(page: u32, further: u32): u32 {
  if (page < LOG_PAGES) return (page + further) % LOG_PAGES;
  return LOG_PAGES + ((page - LOG_PAGES + further) % (ALL_PAGES - LOG_PAGES));
}

/** Heads of pages, a stride apart, wrapping at the end of their part. */
export function logHeads(): u32 {
  const page = short(BODY + N.LOG_HEADS_REQUEST_PAGE);
  const stride = short(BODY + N.LOG_HEADS_REQUEST_STRIDE);
  const count = load<u8>(BODY, N.LOG_HEADS_REQUEST_COUNT) as u32;
  const fits = page < ALL_PAGES && stride > 0 && stride <= MOST_STRIDE && count > 0 && count <= MOST_HEADS;
  if (!fits) return refused(N.MESSAGE_LOG_HEADS, N.REFUSAL_BAD_VALUE);
  putShort(ANSWER + N.LOG_HEADS_ANSWER_PAGE, page);
  const heads = ANSWER + N.LOG_HEADS_ANSWER_BYTES;
  for (let i: u32 = 0; i < count; i++)
    readHead(placeFrom(page, i * stride), heads + ((i * B.LOG_PAGE_HEAD_BYTES) as usize));
  return answered(N.MESSAGE_LOG_HEADS, N.LOG_HEADS_ANSWER_BYTES + count * B.LOG_PAGE_HEAD_BYTES);
}

export function logRead(): u32 {
  const offset = long(BODY + N.LOG_READ_REQUEST_OFFSET);
  const length = short(BODY + N.LOG_READ_REQUEST_LENGTH);
  const fits = length > 0 && length <= N.LOG_READ_ANSWER_TAIL && offset <= LOG_BYTES - length;
  if (!fits) return refused(N.MESSAGE_LOG_READ, N.REFUSAL_BAD_VALUE);
  putLong(ANSWER + N.LOG_READ_ANSWER_OFFSET, offset);
  flashRead(B.FLASH_LOG_START + offset, ANSWER + N.LOG_READ_ANSWER_BYTES, length);
  return answered(N.MESSAGE_LOG_READ, N.LOG_READ_ANSWER_BYTES + length);
}

/** Only while off: the caller has looked. */
export function logErase(): u32 {
  eraseAll();
  putShort(ANSWER + N.LOG_ERASE_ANSWER_SECTORS, LOG_SECTORS);
  return answered(N.MESSAGE_LOG_ERASE, N.LOG_ERASE_ANSWER_BYTES);
}
