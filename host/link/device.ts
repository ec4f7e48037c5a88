// What a controller reports about itself, as typed values. Decides here whether host and controller are compatible.
import { Failure } from "#host/errors/failure.ts";
import { FINGERPRINT } from "#shared-schema/generated/fingerprint.ts";
import { PROTOCOL_VERSION, SLOT_NOTES } from "#shared-schema/link/messages.ts";
import { MODES } from "#shared-schema/model/interlocks.ts";
import { WORDS } from "#shared-schema/settings/words.ts";
import { boardIdOf } from "./board-number.ts";
import type { LinkClient } from "./client.ts";
import { numberOf, type Values } from "./payload.ts";

/** Bytes of a settings block. */
export const SETTINGS_BYTES = 2 * WORDS.length;

const BOOT_REASONS = ["power", "watchdog", "trap", "restart", "boot loader"] as const;
const SLOTS = ["none", "A", "B", "C", "D"] as const;

/** Name of a slot by its number, 0 for none. */
export const slotName = (number: number): string => nameOf(SLOTS, number);

/** Answer to `hello`. */
export interface Hello {
  readonly protocol: number;
  readonly fingerprint: number;
  readonly settingsBytes: number;
  /** `1.2.3` */
  readonly imageVersion: string;
  readonly imageCrc: number;
  readonly imageGood: boolean;
  /** Six hexadecimal digits; all 0 until the board has a number. */
  readonly boardId: string;
  readonly mode: string;
  readonly bootReason: string;
  readonly bootDetail: number;
  readonly bootPlace: number;
  /** `none` when there are no valid settings. */
  readonly slot: string;
  readonly slotNote: string;
  /** Slots that did not keep what was written to them and are no longer used. */
  readonly retired: readonly string[];
  readonly settingsSequence: number;
  readonly settingsCrc: number;
}

const nameOf = (names: readonly string[], number: number): string => names[number] ?? `number ${number}`;

function helloOf(values: Values): Hello {
  const n = (name: string): number => numberOf(values, name);
  const version = n("imageVersion");
  const note = Object.entries(SLOT_NOTES).find(([, number]) => number === n("slotNote"));
  return {
    protocol: n("protocol"),
    fingerprint: n("fingerprint"),
    settingsBytes: n("settingsBytes"),
    imageVersion: `${version >>> 16}.${(version >>> 8) & 0xff}.${version & 0xff}`,
    imageCrc: n("imageCrc"),
    imageGood: n("imageGood") === 1,
    boardId: boardIdOf(n("boardNumber")),
    mode: nameOf(MODES, n("mode")),
    bootReason: nameOf(BOOT_REASONS, n("bootReason")),
    bootDetail: n("bootDetail"),
    bootPlace: n("bootPlace"),
    slot: slotName(n("slot")),
    slotNote: note?.[0] ?? `number ${n("slotNote")}`,
    retired: SLOTS.filter((_, slot) => (n("retired") >> slot) & 1),
    settingsSequence: n("settingsSequence"),
    settingsCrc: n("settingsCrc"),
  };
}

/** Sends `hello`. A controller of any version answers; see `requireFit`. */
export async function hello(client: LinkClient): Promise<Hello> {
  return helloOf((await client.request("hello")).values);
}

const hex = (number: number): string => number.toString(16).padStart(8, "0");

/**
 * Fails unless this tool and the controller agree on the meaning of every message and every settings word. An image that is
 * older in both is recognised by its settings table: `hello` has been the same in all versions so far.
 */
export function requireFit(device: Hello): void {
  const otherTable = device.fingerprint !== FINGERPRINT || device.settingsBytes !== SETTINGS_BYTES;
  const olderImage = device.protocol < PROTOCOL_VERSION && otherTable;
  if (device.protocol !== PROTOCOL_VERSION && !olderImage) {
    const expected = `version ${PROTOCOL_VERSION}`;
    throw new Failure("protocol-mismatch", {
      expected,
      data: { got: device.protocol, expected: PROTOCOL_VERSION },
    });
  }
  if (!otherTable) return;
  const [got, expected] = [hex(device.fingerprint), hex(FINGERPRINT)];
  throw new Failure("schema-mismatch", {
    expected: `fingerprint ${expected}, not ${got}`,
    data: { got, expected },
  });
}

/** The answer to `status`: the columns by name. */
export async function status(client: LinkClient): Promise<Values> {
  return (await client.request("status")).values;
}
