// The fingerprint of the schema: it changes with anything that would make stored settings mean something else.

import { createHash } from "node:crypto";
import { unhandled } from "../model/unhandled.ts";
import { RULES } from "../rules/rules.ts";
import { LAYOUT_VERSION, SETTINGS } from "../settings/settings.ts";
import type { SettingNode } from "../settings/table.ts";

/** What of an entry matters for the meaning of the stored words: not its prose. */
function essence(node: SettingNode): unknown {
  switch (node.kind) {
    case "number":
      return [node.name, node.min, node.max];
    case "choice":
      return [node.name, ...node.options];
    case "group":
      return [node.name, node.optional, node.fields.map(essence)];
    case "list":
      return [node.name, node.min, node.max, node.fields.map(essence)];
    case "points":
      return [node.name, node.min, node.max];
    default:
      return unhandled(node);
  }
}

/** First 32 bits of the SHA-256 of layout, table and rules. */
export function fingerprint(): number {
  const rules = RULES.map(({ text: _, ...rule }) => rule);
  const text = JSON.stringify([LAYOUT_VERSION, essence(SETTINGS), rules]);
  return createHash("sha256").update(text).digest().readUInt32BE(0);
}
