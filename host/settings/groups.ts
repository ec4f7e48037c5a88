// Whole groups of settings put into a document with the examples of the table, or taken out of it.
import { valueAt } from "#shared-schema/settings/enabled.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import { SETTINGS } from "#shared-schema/settings/settings.ts";
import type { SettingNode } from "#shared-schema/settings/table.ts";
import { exampleDocument } from "./example.ts";

function optionalIn(fields: readonly SettingNode[], at: string): string[] {
  return fields.flatMap((field) => {
    if (field.kind !== "group") return [];
    const path = `${at}${field.name}`;
    return [...(field.optional ? [path] : []), ...optionalIn(field.fields, `${path}.`)];
  });
}

/** Document paths of all groups that may be left out, but for those of a single stage. */
export const OPTIONAL_GROUPS: readonly string[] = optionalIn(SETTINGS.fields, "");

/** The document with another value at a path; undefined takes it out. */
function changed(document: Document, [first = "", ...rest]: readonly string[], value: unknown): Document {
  const inside = rest.length === 0 ? value : changed((document[first] ?? {}) as Document, rest, value);
  const { [first]: _, ...others } = document;
  return inside === undefined ? others : { ...document, [first]: inside };
}

/** Puts a group in, with those above it that are missing too; one that is there stays as it is. */
export function withGroup(document: Document, path: string): Document {
  const above = OPTIONAL_GROUPS.filter((group) => path === group || path.startsWith(`${group}.`));
  const missing = above.find((group) => valueAt(document, group) === undefined);
  if (missing === undefined) return document;
  return changed(document, missing.split("."), valueAt(exampleDocument(1, above), missing));
}

/** Takes a group out. One that is not there changes nothing. */
export const withoutGroup = (document: Document, path: string): Document =>
  valueAt(document, path) === undefined ? document : changed(document, path.split("."), undefined);
