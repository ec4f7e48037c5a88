// A document as a settings file that explains itself: comments from the table, and the same document when it is read again.

import { unhandled } from "#shared-schema/model/unhandled.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import { type AXES, LAYOUT_VERSION, SETTINGS } from "#shared-schema/settings/settings.ts";
import { fileKey, type SettingNode } from "#shared-schema/settings/table.ts";
import { axisStorage, SHARE_STORAGE, storageOf, writeStored } from "./stored.ts";

type Of<K extends SettingNode["kind"]> = Extract<SettingNode, { kind: K }>;
type Axis = (typeof AXES)[number];

/** What stands at the top of a written file. */
export interface FileHead {
  readonly name?: string;
  /** Where an editor finds the JSON Schema, for completion and hover texts. */
  readonly schema?: string;
  /** The version that the document is of; else the present one. */
  readonly version?: number;
}

const indented = (lines: readonly string[]): string[] =>
  lines.map((line) => (line === "" ? "" : `  ${line}`));

function limits(node: Of<"number">): string {
  const storage = storageOf(node);
  return `${writeStored(node.min, storage)} to ${writeStored(node.max, storage)}: ${node.reason}`;
}

function comments(node: SettingNode): string[] {
  const said = [node.meaning];
  if (node.kind === "number") said.push(limits(node));
  if (node.kind === "choice") said.push(`one of: ${node.options.join(", ")}`);
  if (node.kind === "list" || node.kind === "points") said.push(`${node.min} to ${node.max} entries`);
  return said.map((text) => `# ${text}`);
}

/** Lines below the key of an entry that has more than one. */
function linesOf(
  node: Of<"group" | "list" | "points">,
  value: unknown,
  axis: Axis | undefined,
  explained: boolean,
): string[] {
  if (node.kind === "group") return group(node.fields, value as Document, explained);
  if (node.kind === "list") return list(node, value as Document[], explained);
  if (node.kind === "points") return points(value as number[][], axis);
  return unhandled(node);
}

/** Lines of one entry; `explained` says that its comments are already further up. */
function entry(node: SettingNode, value: unknown, axis: Axis | undefined, explained: boolean): string[] {
  const key = fileKey(node);
  if (value === undefined) return explained ? [] : [`# ${key}: not used; ${node.meaning}`];
  const head = explained ? [] : comments(node);
  if (node.kind === "number") return [...head, `${key}: ${writeStored(value as number, storageOf(node))}`];
  if (node.kind === "choice") return [...head, `${key}: ${value as string}`];
  return [...head, `${key}:`, ...indented(linesOf(node, value, axis, explained))];
}

function group(fields: readonly SettingNode[], value: Document, explained: boolean): string[] {
  return fields.flatMap((field) =>
    entry(field, value[field.name], value.over as Axis | undefined, explained),
  );
}

function list(node: Of<"list">, items: readonly Document[], explained: boolean): string[] {
  return items.flatMap((item, i) => {
    const lines = indented(group(node.fields, item, explained || i > 0));
    const first = lines.findIndex((line) => !line.trimStart().startsWith("#"));
    return lines.map((line, at) => (at === first ? `- ${line.slice(2)}` : line));
  });
}

function points(pairs: readonly number[][], axis: Axis | undefined): string[] {
  const at = axisStorage(axis ?? "time");
  return pairs.map(
    ([place = 0, share = 0]) => `- [${writeStored(place, at)}, ${writeStored(share, SHARE_STORAGE)}]`,
  );
}

/** A name in quotes; signs that no one sees are written out, so that no terminal obeys them. */
const quoted = (name: string): string =>
  JSON.stringify(name).replace(
    /[\p{Cc}\p{Cf}\u2028\u2029]/gu,
    (sign) => `\\u${sign.charCodeAt(0).toString(16).padStart(4, "0")}`,
  );

/** The whole text of a settings file. Reading it gives the same document. */
export function formatSettings(document: Document, head: FileHead = {}): string {
  const sections = SETTINGS.fields.map((field) => [
    "",
    ...entry(field, document[field.name], undefined, false),
  ]);
  return [
    ...(head.schema === undefined ? [] : [`# yaml-language-server: $schema=${head.schema}`]),
    "# Settings of a Headgate controller. Every number carries its unit; any unit of its kind may be used.",
    "# Nothing here is a recommendation for a particular engine. Keep to what the makers of your parts say.",
    `version: ${head.version ?? LAYOUT_VERSION}`,
    ...(head.name === undefined ? [] : [`name: ${quoted(head.name)}`]),
    ...sections.flat(),
    "",
  ].join("\n");
}
