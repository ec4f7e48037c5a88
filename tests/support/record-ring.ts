// The run log's ring in a core's memory, read as it fills: each record once, as its bytes or by its columns.
import { LOG_COLUMNS, LOG_RECORD_BYTES } from "#shared-schema/link/columns.ts";
import { LOG_RING } from "#shared-schema/model/blocks.ts";
import type { Car } from "../oracle/car.ts";

/** A record that was never written. */
const BLANK = 0xff;

/** Reads the ring after each tick. Begin before the car arms. */
export class RecordRing {
  private readonly bytes: Uint8Array;
  private next = 0;

  constructor(car: Car) {
    const { address, records } = LOG_RING;
    this.bytes = new Uint8Array(car.rig.core.memory.buffer, address, records * LOG_RECORD_BYTES);
    this.bytes.fill(BLANK);
  }

  /** The record that the last tick has written, if it has. */
  take(): Uint8Array | undefined {
    const from = this.next * LOG_RECORD_BYTES;
    const record = this.bytes.slice(from, from + LOG_RECORD_BYTES);
    if (record.every((byte) => byte === BLANK)) return undefined;
    this.next = (this.next + 1) % LOG_RING.records;
    this.bytes.fill(BLANK, from, from + LOG_RECORD_BYTES);
    return record;
  }

  /** A new run begins at the first place again. */
  restart(): void {
    this.next = 0;
  }
}

/** A record by the names of its columns. */
export function columnsOf(record: Uint8Array): Record<string, number> {
  let at = 0;
  return Object.fromEntries(
    LOG_COLUMNS.map(({ name, type }) => {
      const value = record[at++]! + (type === "u16" ? 256 * record[at++]! : 0);
      return [name, value];
    }),
  );
}
