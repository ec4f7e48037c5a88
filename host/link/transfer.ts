// Writes settings to the controller and reads them back, in pieces. A write resumes where it stopped, and is complete only when the controller has stored it.
import { crc32c } from "#host/codec/crc32c.ts";
import { FINGERPRINT } from "#shared-schema/generated/fingerprint.ts";
import { TRANSFER_UNIT } from "#shared-schema/link/messages.ts";
import type { LinkClient } from "./client.ts";
import { SETTINGS_BYTES, slotName } from "./device.ts";
import { Refused } from "./message.ts";
import { type Decoded, numberOf } from "./payload.ts";
import { countFrom, inPieces, type Progress, type Work } from "./pieces.ts";
import { readBytes } from "./read-bytes.ts";

/** How many times a transfer is restarted after the controller has forgotten it. */
const MOST_BEGINS = 4;
/** Storing takes as long as the flash chip needs to program, and to erase when the spare slot is not ready. */
const STORE_MS = 6000;

/** The controller's answer after storing. */
export interface Stored {
  readonly sequence: number;
  /** `A` to `D`. */
  readonly slot: string;
}

/** Callbacks during a write. */
export interface WriteWatch {
  readonly progress?: Progress;
  /** If the line is lost after this call, either the old or the new settings are active; both are complete. */
  readonly committing?: () => void;
}

/** Number of a transfer. The same settings always get the same number, so that an interrupted transfer can resume. */
const transferId = (crc: number): number => crc || 1;

/** The units that the controller has, according to an answer. */
function unitsThere({ values }: Decoded): number[] {
  const have = values.have as readonly number[];
  return countFrom(0, 8 * have.length).filter((unit) => (have[unit >> 3]! >> (unit & 7)) & 1);
}

async function sendBlock(client: LinkClient, block: Uint8Array, progress?: Progress): Promise<void> {
  const crc = crc32c(block);
  const id = transferId(crc);
  const what = { id, crc, fingerprint: FINGERPRINT, length: block.length };
  const start = await client.request("writeBegin", what);
  const work: Work = {
    name: "writeData",
    units: Math.ceil(block.length / TRANSFER_UNIT),
    unitBytes: TRANSFER_UNIT,
    outward: true,
    post: (first, count) => {
      const offset = first * TRANSFER_UNIT;
      return { values: { id, offset }, tail: block.subarray(offset, offset + count * TRANSFER_UNIT) };
    },
    take: unitsThere,
    progress,
  };
  await inPieces(client, work, unitsThere(start));
}

async function commit(client: LinkClient, block: Uint8Array, boardNumber: number): Promise<Stored> {
  const id = transferId(crc32c(block));
  const { values } = await client.request("writeCommit", { id, boardNumber }, { patienceMs: STORE_MS });
  return { sequence: numberOf(values, "sequence"), slot: slotName(numberOf(values, "slot")) };
}

/** Refusals after which the transfer should be restarted: the controller restarted, or two transfers were mixed up. */
const AGAIN: readonly unknown[] = ["noTransfer", "incomplete", "badCrc"];

/**
 * Writes a settings block and has it stored and activated. A board without a number takes `boardNumber`; 0 means none.
 * Fails as `LinkClient.request` does.
 */
export async function writeSettings(
  client: LinkClient,
  block: Uint8Array,
  watch: WriteWatch = {},
  boardNumber = 0,
): Promise<Stored> {
  for (let begins = 1; ; begins++) {
    try {
      await sendBlock(client, block, watch.progress);
      watch.committing?.();
      return await commit(client, block, boardNumber);
    } catch (error) {
      const again = error instanceof Refused && AGAIN.includes(error.reason);
      if (!again || begins === MOST_BEGINS) throw error;
    }
  }
}

/** Reads the active settings block. Fails with `no-settings` when there are no active settings. */
export function readSettings(
  client: LinkClient,
  progress?: Progress,
  length = SETTINGS_BYTES,
): Promise<Uint8Array> {
  return readBytes(client, "read", { from: 0, length, progress });
}
