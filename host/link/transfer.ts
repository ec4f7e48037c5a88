// Settings to the controller and back: in pieces, resumed where they stopped, done only when the controller has stored them.
import { crc32c } from "#host/codec/crc32c.ts";
import { FINGERPRINT } from "#shared-schema/generated/fingerprint.ts";
import { TRANSFER_UNIT } from "#shared-schema/link/messages.ts";
import type { LinkClient } from "./client.ts";
import { SETTINGS_BYTES, slotName } from "./device.ts";
import { Refused } from "./message.ts";
import { type Decoded, numberOf } from "./payload.ts";
import { countFrom, inPieces, type Progress, type Work } from "./pieces.ts";
import { readBytes } from "./read-bytes.ts";

/** How often a transfer that the controller forgot is begun again. */
const MOST_BEGINS = 4;
/** Storing takes programming times of the flash chip, and an erase when the idle slot is not ready. */
const STORE_MS = 6000;

/** What the controller says after storing. */
export interface Stored {
  readonly sequence: number;
  /** `A` to `D`. */
  readonly slot: string;
}

/** What a write tells while it goes on. */
export interface WriteWatch {
  readonly progress?: Progress;
  /** From this call on a lost line leaves open whether the old or the new settings are active; either is whole. */
  readonly committing?: () => void;
}

/** Number of a transfer: the same settings get the same, so that a broken transfer goes on where it stopped. */
const transferId = (crc: number): number => crc || 1;

/** The units that an answer says the controller has. */
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

/** Refusals after which beginning again is right: the controller restarted meanwhile, or two transfers were mixed. */
const AGAIN: readonly unknown[] = ["noTransfer", "incomplete", "badCrc"];

/**
 * Writes a settings block, has it stored and taken into force. `boardNumber` becomes that of a board without one, 0 is none.
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

/** Reads the active settings block. Fails with `no-settings` when there is none. */
export function readSettings(
  client: LinkClient,
  progress?: Progress,
  length = SETTINGS_BYTES,
): Promise<Uint8Array> {
  return readBytes(client, "read", { from: 0, length, progress });
}
