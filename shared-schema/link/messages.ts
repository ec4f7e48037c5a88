// The messages of the link: kinds, payloads and refusals as data; host codec, core constants and docs are made from it.

import type { BlockField } from "../model/blocks.ts";
import { FIELD_BYTES } from "../model/layout.ts";
import { COLUMNS } from "./columns.ts";

/** Version of this set of messages. Raise it with every change that an old host would misread. */
export const PROTOCOL_VERSION = 3;
/** Longest payload in bytes. */
export const MAX_PAYLOAD = 512;
/** A transfer of settings is kept count of in units of so many bytes. */
export const TRANSFER_UNIT = 16;
/** Longest piece of a transfer: two of them and their frames fit into the controller's receive ring. */
const TRANSFER_PIECE = 480;
/** Serial speed after every start, and the fastest that can be asked for. */
export const BAUD_DEFAULT = 115_200;
export const BAUD_MAX = 921_600;
/** Without a good frame for this long the device goes back to the default speed. */
export const BAUD_FALLBACK_US = 3_000_000;
/** The same while nothing has come at the new speed yet. */
export const BAUD_PROOF_US = 500_000;
/** Passes of the main loop, one a millisecond, without a byte after which the device does slow work on its flash. */
export const QUIET_PASSES = 30;
/** After so many passes it does a piece of slow work also on a line that is never quiet. */
export const MOST_HELD_PASSES = 1_000;
/** Added to the kind of a request in its answer. */
export const ANSWER_BIT = 0x80;
/** Kind of a refusal. */
export const REFUSAL_KIND = 0xff;

/** Fields in order, little-endian, packed without gaps; `bytes` may follow as a tail of 0 to `tail` bytes. */
export interface Payload {
  readonly fields: readonly BlockField[];
  readonly tail?: number;
}

/** One request and its answer. */
export interface Message {
  readonly name: string;
  readonly kind: number;
  readonly meaning: string;
  readonly request: Payload;
  readonly answer: Payload;
  /** True when doing it twice is not the same as once: the device then answers a repeat from memory. */
  readonly once: boolean;
}

const f = (name: string, type: BlockField["type"], meaning: string, count?: number): BlockField =>
  count === undefined ? { name, type, meaning } : { name, type, meaning, count };
const none: Payload = { fields: [] };
const id = f("id", "u32", "number that the host chose for this transfer, not 0");
const have = f(
  "have",
  "u8",
  "bit n of the 64, from the lowest of the first byte: bytes 16 n to 16 n + 15 are there",
  8,
);

/** All messages. */
export const MESSAGES: readonly Message[] = [
  {
    name: "hello",
    kind: 0x01,
    meaning: "who are you, and what do you hold",
    once: false,
    request: none,
    answer: {
      fields: [
        f("protocol", "u8", "version of these messages"),
        f("layout", "u8", "version of the stored settings layout"),
        f("settingsBytes", "u16", "length of a settings block"),
        f("fingerprint", "u32", "fingerprint of the schema: first 32 bits of its SHA-256"),
        f("imageVersion", "u32", "major * 65536 + minor * 256 + patch"),
        f("imageCrc", "u32", "CRC-32C that the image carries"),
        f("bootPlace", "u32", "program counter of the trap that caused the last start, else 0"),
        f(
          "settingsSequence",
          "u32",
          "sequence number of the active settings, or of kept ones of another schema, 0 for none",
        ),
        f("settingsCrc", "u32", "CRC-32C of the active settings block, 0 for none"),
        f("boardNumber", "u32", "number of the board, below 2^24; 0 as long as it has none"),
        f("spare", "u32", "0"),
        f("imageGood", "u8", "1 when the image matches its own check sum"),
        f("mode", "u8", "number of the mode"),
        f("bootReason", "u8", "0 power, 1 watchdog, 2 trap, 3 asked for, 4 boot ROM"),
        f("bootDetail", "u8", "which trap, 0 for none"),
        f("slot", "u8", "0 no valid settings, 1 to 4 slot A to D"),
        f("slotNote", "u8", "what was found at start: see SLOT_NOTES"),
        f("retired", "u8", "bit n: slot n did not hold what was written and is used no more"),
      ],
    },
  },
  {
    name: "status",
    kind: 0x02,
    meaning: "what is going on now",
    once: false,
    request: none,
    answer: { fields: COLUMNS },
  },
  {
    name: "read",
    kind: 0x03,
    meaning: "a piece of the active settings",
    once: false,
    request: { fields: [f("offset", "u16", "first byte"), f("length", "u16", "how many bytes, 1 to 510")] },
    answer: { fields: [f("offset", "u16", "first byte")], tail: MAX_PAYLOAD - 2 },
  },
  {
    name: "baud",
    kind: 0x04,
    meaning: "change the serial speed after this answer",
    once: true,
    request: { fields: [f("baud", "u32", "bits a second, 9600 to 921600")] },
    answer: { fields: [f("baud", "u32", "the speed from now on")] },
  },
  {
    name: "restart",
    kind: 0x05,
    meaning: "restart after this answer; only while off",
    once: true,
    request: { fields: [f("target", "u8", "0 the program, 1 the boot loader for a new image")] },
    answer: { fields: [f("target", "u8", "as asked")] },
  },
  {
    name: "service",
    kind: 0x06,
    meaning: "enter or leave service: it cannot arm meanwhile; only while off or in service",
    once: false,
    request: { fields: [f("on", "u8", "1 enter, 0 leave")] },
    answer: { fields: [f("mode", "u8", "number of the mode from now on")] },
  },
  {
    name: "writeBegin",
    kind: 0x10,
    meaning: "begin, or go on with, a transfer of settings; only while off",
    once: false,
    request: {
      fields: [
        id,
        f("crc", "u32", "CRC-32C of the whole block"),
        f("fingerprint", "u32", "fingerprint of the schema that made it"),
        f("length", "u16", "bytes of the whole block"),
      ],
    },
    answer: { fields: [have] },
  },
  {
    name: "writeData",
    kind: 0x11,
    meaning: "a piece of the block, at its place, in any order; only while off",
    once: false,
    request: {
      fields: [id, f("offset", "u16", "place of the first byte, a multiple of 16")],
      tail: TRANSFER_PIECE,
    },
    answer: { fields: [have] },
  },
  {
    name: "writeCommit",
    kind: 0x12,
    meaning: "check the block, store it, read it back and make it the active one; only while off",
    once: true,
    request: {
      fields: [
        id,
        f("boardNumber", "u32", "24 bits: becomes the number of a board that has none; 0 for none"),
      ],
    },
    answer: {
      fields: [
        id,
        f("sequence", "u32", "sequence number that it is stored under"),
        f("slot", "u8", "1 to 4: slot A to D"),
      ],
    },
  },
  {
    name: "logInfo",
    kind: 0x20,
    meaning: "where the stored run log stands",
    once: false,
    request: none,
    answer: {
      fields: [
        f("sequence", "u32", "sequence number that the next page will have"),
        f("run", "u32", "number of the newest run, 0 for none"),
        f("pages", "u16", "pages of records in the log area; those of ticks come after them"),
        f("next", "u16", "page that will be written next"),
        f("waiting", "u16", "pages in memory that are not stored yet"),
        f("busy", "u8", "0 at rest, 1 storing a run, 2 erasing"),
      ],
    },
  },
  {
    name: "logHeads",
    kind: 0x21,
    meaning: "the heads of some pages of the log, 16 bytes each",
    once: false,
    request: {
      fields: [
        f("page", "u16", "first page"),
        f("stride", "u16", "pages from one to the next, 1 to 4096"),
        f("count", "u8", "how many, 1 to 31"),
      ],
    },
    answer: { fields: [f("page", "u16", "first page")], tail: 496 },
  },
  {
    name: "logRead",
    kind: 0x22,
    meaning: "a piece of the log area",
    once: false,
    request: {
      fields: [
        f("offset", "u32", "first byte, from the start of the log area"),
        f("length", "u16", "how many bytes, 1 to 508"),
      ],
    },
    answer: { fields: [f("offset", "u32", "first byte")], tail: MAX_PAYLOAD - 4 },
  },
  {
    name: "logErase",
    kind: 0x23,
    meaning: "erase the whole log, a sector at a time after this answer; only while off",
    once: false,
    request: none,
    answer: { fields: [f("sectors", "u16", "sectors to erase")] },
  },
];

/** Payload of a refusal. */
export const REFUSAL: Payload = {
  fields: [
    f("kind", "u8", "kind of the refused request"),
    f("reason", "u8", "see REFUSALS"),
    f("word", "u16", "for badSettings: index of the wrong word"),
    f("rule", "u8", "for badSettings: number of the broken rule"),
  ],
};

/** Why a request was refused. */
export const REFUSALS = {
  unknownKind: 1,
  badLength: 2,
  notOff: 3,
  badSettings: 4,
  badCrc: 5,
  wrongSchema: 6,
  noTransfer: 7,
  flashFailed: 8,
  noSettings: 9,
  badValue: 10,
  incomplete: 11,
} as const;

/**
 * What was found in the slots at start. `cutOff`: the settings in force are whole, and beside them lies something that is
 * not: a write, or the erase after one, was cut off. The others but `ok` say why no settings are in force.
 */
export const SLOT_NOTES = { ok: 0, empty: 1, cutOff: 2, wrongSchema: 3, damaged: 4 } as const;

/** Bytes of the packed fields of a payload, without the tail. */
export function packedBytes(payload: Payload): number {
  return payload.fields.reduce((n, field) => n + FIELD_BYTES[field.type] * (field.count ?? 1), 0);
}

/** Each packed field of a payload with its offset in bytes. */
export function packedOffsets({ fields }: Payload): [BlockField, number][] {
  return fields.map((field, i) => [field, packedBytes({ fields: fields.slice(0, i) })]);
}
