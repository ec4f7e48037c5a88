// Tables of docs/link.md: every message, field by field, and every word of a settings block, from the data that both sides use.

import {
  ANSWER_BIT,
  MESSAGES,
  type Message,
  type Payload,
  PROTOCOL_VERSION,
  packedBytes,
  REFUSAL,
  REFUSAL_KIND,
  REFUSALS,
  SLOT_NOTES,
} from "../link/messages.ts";
import { OUTPUT_BITS, SWITCH_BITS, TRAPS } from "../model/blocks.ts";
import { INTERLOCKS, MODES } from "../model/interlocks.ts";
import { FIELD_BYTES } from "../model/layout.ts";
import { UNITS } from "../model/units.ts";
import { RULES } from "../rules/rules.ts";
import { referenceOf } from "../settings/entries.ts";
import { LAYOUT_VERSION } from "../settings/settings.ts";
import { WORDS, type Word, wordAt } from "../settings/words.ts";
import { fingerprint } from "./fingerprint.ts";
import { code, table } from "./markdown.ts";
import { RULE_IDS } from "./rule-table.ts";

const hex = (byte: number): string => code(`0x${byte.toString(16).padStart(2, "0")}`);

function fieldRows(payload: Payload): string[][] {
  let at = 0;
  const rows = payload.fields.map(({ name, type, count = 1, meaning }) => {
    const row = [String(at), code(count === 1 ? type : `${type} x ${count}`), code(name), meaning];
    at += FIELD_BYTES[type] * count;
    return row;
  });
  return payload.tail === undefined
    ? rows
    : [...rows, [String(at), `0 to ${payload.tail} bytes`, "", "the bytes themselves"]];
}

function payloadText(title: string, payload: Payload): string {
  const rows = fieldRows(payload);
  if (rows.length === 0) return `${title}: no payload.\n\n`;
  const length = payload.tail === undefined ? "" : " and more";
  return `${title}, ${packedBytes(payload)} bytes${length}:\n\n${table(["offset", "type", "field", "meaning"], rows)}\n`;
}

function messageText(message: Message): string {
  const { name, kind, meaning, request, answer, once } = message;
  const repeat = once
    ? " A repeat with the same sequence number and the same bytes gets the remembered answer."
    : "";
  return [
    `### ${code(name)}: request ${hex(kind)}, answer ${hex(kind | ANSWER_BIT)}\n\n`,
    `${meaning[0]!.toUpperCase()}${meaning.slice(1)}.${repeat}\n\n`,
    payloadText("Request", request),
    payloadText("Answer", answer),
  ].join("");
}

const numbers = (of: Readonly<Record<string, number>>): string =>
  Object.entries(of)
    .map(([name, number]) => `${number} ${name}`)
    .join(", ");
const places = (of: readonly string[]): string => of.map((name, number) => `${number} ${name}`).join(", ");

function numberTexts(): string {
  const rows = [
    ["modes (`mode`)", places(MODES)],
    ["interlocks (`trip`, bits of `reasons`)", places(INTERLOCKS.map(({ id }) => id))],
    ["switch bits (`switches`)", numbers(SWITCH_BITS)],
    ["output bits (`flags`)", numbers(OUTPUT_BITS)],
    ["slot notes (`slotNote`)", numbers(SLOT_NOTES)],
    ["refusal reasons (`reason`)", numbers(REFUSALS)],
    ["traps (`bootDetail`)", numbers(TRAPS)],
  ];
  return `## Numbers with a meaning\n\n${table(["what", "numbers"], rows)}\n`;
}

/** What a host compares before anything else. */
function versionText(): string {
  const rows = [
    ["`protocol`", String(PROTOCOL_VERSION)],
    ["`layout`", String(LAYOUT_VERSION)],
    ["`fingerprint`", `0x${fingerprint().toString(16).padStart(8, "0")}`],
    ["`settingsBytes`", String(2 * WORDS.length)],
  ];
  return `## This version\n\nWhat the answer to ${code("hello")} holds in an image of this version.\n\n${table(["field", "value"], rows)}\n`;
}

const RULE_TEXTS: Readonly<Record<string, string>> = {
  limit: "the word lies outside its limits",
  unused: "the word is not in use and is not 0",
};

function ruleText(): string {
  const rows = RULE_IDS.map((id, number) => [
    String(number),
    code(id),
    RULE_TEXTS[id] ?? RULES.find((rule) => rule.id === id)?.text ?? "",
  ]);
  return `## Rules\n\nNumbers of ${code("rule")} in a refusal with the reason ${code("badSettings")}.\n\n${table(["number", "rule", "what it asks"], rows)}\n`;
}

/** The last part of a path into ramp points is 0 for the place and 1 for the share, not a place in a list. */
const isPart = (word: Word): boolean => word.node.kind === "points" && word.role === "value";

/** Parts of a path that count entries of lists. */
function entryParts(word: Word): number[] {
  const parts = word.path.split(".");
  const last = isPart(word) ? parts.length - 1 : parts.length;
  return parts.flatMap((part, i) => (/^\d+$/.test(part) && i < last ? [i] : []));
}

/** `12`, or for a word within lists `36 + 41 i + 4 j`: how far each next entry lies. */
function placeOf(word: Word): string {
  const parts = word.path.split(".");
  const strides = entryParts(word).map((i) => wordAt(parts.with(i, "1").join(".")).index - word.index);
  return [String(word.index), ...strides.map((stride, i) => `${stride} ${"ijk"[i]}`)].join(" + ");
}

/** Path with `i`, `j`, `k` for entries of lists. */
function pathOf(word: Word): string {
  const parts = word.path.split(".");
  entryParts(word).forEach((part, i) => {
    parts[part] = "ijk"[i]!;
  });
  return parts.join(".");
}

function holds(word: Word): string {
  const { node, role } = word;
  if (role === "present") return "1 when this part is there, else 0";
  if (role === "count") return "how many entries there are";
  if (node.kind === "choice") return places(node.options);
  if (node.kind === "number") {
    const { written, perWritten } = UNITS[node.unit];
    return [perWritten, "for 1", written, referenceOf(node)].filter((part) => part !== undefined).join(" ");
  }
  return word.path.endsWith(".1") ? "share in permille" : "place on the axis: ms, rpm, 0.1 km/h or 0.1 kPa";
}

/** The first entry of a list stands for all. */
function standsForAll(word: Word): boolean {
  const parts = word.path.split(".");
  return entryParts(word).every((i) => parts[i] === "0");
}

function blockText(): string {
  const rows = WORDS.filter(standsForAll).map((word) => [
    placeOf(word),
    code(pathOf(word)),
    `${word.min} to ${word.max}`,
    holds(word),
  ]);
  return [
    `## The settings block\n\n${WORDS.length} words of 16 bits, little-endian: ${2 * WORDS.length} bytes. `,
    "A word that is not in use (its part is not there, or its list ends before it) is 0. Lists always take the room of ",
    "their most entries; `i`, `j` and `k` count entries from 0, from the outermost list inwards.\n\n",
    table(["word", "setting", "limits", "holds"], rows),
  ].join("");
}

/** All tables of the page, between its two markers. */
export function linkTables(): string {
  return [
    versionText(),
    "## Messages\n\nOffsets are in bytes from the start of the payload.\n\n",
    ...MESSAGES.map(messageText),
    `### Refusal: ${hex(REFUSAL_KIND)}\n\nComes instead of any answer.\n\n${payloadText("Payload", REFUSAL)}`,
    numberTexts(),
    ruleText(),
    blockText(),
  ].join("");
}
