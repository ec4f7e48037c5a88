// Rows for people about a controller: identity, mode, reasons in words, live values with units.
import { NO_BOARD_ID } from "#host/link/board-number.ts";
import type { Hello } from "#host/link/device.ts";
import type { Values } from "#host/link/payload.ts";
import { COLUMNS, type Column } from "#shared-schema/link/columns.ts";
import { OUTPUT_BITS, SWITCH_BITS } from "#shared-schema/model/blocks.ts";
import { hintedId, INTERLOCKS, interlocksIn, MODES } from "#shared-schema/model/interlocks.ts";
import { type StoredUnit, UNITS } from "#shared-schema/model/units.ts";

const hex = (number: number): string => number.toString(16).padStart(8, "0");

const SAID: Readonly<Record<string, string>> = {
  cutOff: "a write, or the erase after one, had been cut off",
  empty: "none stored",
  wrongSchema: "the stored ones belong to another image",
  damaged: "the stored ones are damaged",
};

/** Who a controller is; its mode is among the live values. */
export function identityRows(device: Hello): string[][] {
  const start = device.bootDetail === 0 ? "" : ` (trap ${device.bootDetail} at ${hex(device.bootPlace)})`;
  const note = device.slotNote === "ok" ? "" : `; at start: ${SAID[device.slotNote] ?? device.slotNote}`;
  const settings =
    device.slot === "none"
      ? `none: ${SAID[device.slotNote] ?? device.slotNote}`
      : `${hex(device.settingsCrc)} in slot ${device.slot}, number ${device.settingsSequence}${note}`;
  const retired = device.retired.length === 0 ? "none" : device.retired.join(", ");
  return [
    ["board", device.boardId === NO_BOARD_ID ? "no number yet; the first load gives it one" : device.boardId],
    ["image", `${device.imageVersion}, check sum ${device.imageGood ? "good" : "WRONG"}`],
    ["last start", `${device.bootReason}${start}`],
    ["settings", settings],
    ["worn out slots", retired],
  ];
}

/** Names of the bits that are set, by a table of bit numbers. */
function bitNames(bits: number, table: Readonly<Record<string, number>>): string {
  const names = Object.entries(table).filter(([, bit]) => (bits >>> bit) & 1);
  return names.map(([name]) => name).join(", ") || "none";
}

const NO_TRIP = 255;

function flowing(bits: number): string {
  const stages = [0, 1, 2, 3].filter((s) => (bits >> s) & 1).map((s) => `stage ${s + 1}`);
  return stages.join(", ") || "nothing";
}

const WORDS: Readonly<Record<string, (value: number) => string>> = {
  mode: (value) => MODES[value] ?? String(value),
  trip: (value) => (value === NO_TRIP ? "none" : (INTERLOCKS[value]?.id ?? String(value))),
  reasons: (value) => interlocksIn(value).map(hintedId).join(", ") || "none",
  flags: (value) => bitNames(value, OUTPUT_BITS),
  switches: (value) => bitNames(value, SWITCH_BITS),
  flowing,
};

/** A value of a column as people read it. */
function shown(column: Column, value: number | readonly number[]): string {
  if (typeof value !== "number") return value.map((one) => shown(column, one)).join(", ");
  const words = WORDS[column.name];
  if (words) return words(value);
  if (column.unit === undefined) return String(value);
  const { written, perWritten, reference }: StoredUnit = UNITS[column.unit];
  return [value / perWritten, written, reference].filter((part) => part !== undefined).join(" ");
}

/** Column names in words: `engineRpm` is `engine`, `milliLambda` is `lambda`. */
function label(column: Column): string {
  const stem = column.unit ? column.name.slice(0, -column.unit.length) : column.name;
  if (stem === "" && column.unit) return UNITS[column.unit].written;
  return stem.replace(/[A-Z]/g, (letter) => ` ${letter.toLowerCase()}`);
}

/** What a controller sees now. */
export function liveRows(live: Values): string[][] {
  return COLUMNS.map((column) => [label(column), shown(column, live[column.name] ?? 0)]);
}
