// Facts for people about a controller: who it is, and each live value with its unit.
import { NO_BOARD_ID } from "#host/link/board-number.ts";
import type { Hello } from "#host/link/device.ts";
import type { Values } from "#host/link/payload.ts";
import type { Column } from "#shared-schema/link/columns.ts";
import { type StoredUnit, UNITS } from "#shared-schema/model/units.ts";
import type { Cell } from "./cells.ts";
import { printable } from "./wrap.ts";

const hex = (number: number): string => number.toString(16).padStart(8, "0");

const SAID: Readonly<Record<string, string>> = {
  cutOff: "a write, or the erase after one, had been cut off",
  empty: "none stored",
  wrongSchema: "the stored ones belong to another image",
  damaged: "the stored ones are damaged",
};

/** Settings in force in words, the fullest first: their hash, the name of their file where it is known, slot and number. */
export function settingsInWords(device: Hello, name: string | undefined): string[] {
  const said = SAID[device.slotNote] ?? device.slotNote;
  if (device.slot === "none") return [`settings none: ${said}`, "settings none"];
  const hash = `settings ${hex(device.settingsCrc)}`;
  const named = name === undefined ? hash : `${hash} (${printable(name)})`;
  const note = device.slotNote === "ok" ? "" : `; at start: ${said}`;
  return [`${named} in slot ${device.slot}, number ${device.settingsSequence}${note}`, named, hash];
}

/** Who a controller is; its mode is among the live values, its settings stand by themselves. */
export function identityCells(device: Hello): Cell[] {
  const start = device.bootDetail === 0 ? "" : ` (trap ${device.bootDetail} at ${hex(device.bootPlace)})`;
  const retired = device.retired.length === 0 ? "none" : device.retired.join(", ");
  return [
    ["board", device.boardId === NO_BOARD_ID ? "no number yet; the first load gives it one" : device.boardId],
    ["image", `${device.imageVersion}, check sum ${device.imageGood ? "good" : "WRONG"}`],
    ["last start", `${device.bootReason}${start}`],
    ["worn out slots", retired],
  ];
}

/** A value of a column as people read it. */
function shown(column: Column, value: number | readonly number[]): string {
  if (column.name === "timeUs") return `${(Number(value) / 1e6).toFixed(1)} s since the start`;
  if (typeof value !== "number") return value.map((one) => shown(column, one)).join(", ");
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

/** A live value with its name. */
export function liveCell(column: Column, live: Values): Cell {
  return [label(column), shown(column, live[column.name] ?? 0)];
}
