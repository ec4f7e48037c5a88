// Validates a whole settings file: form, units, limits, rules and cautions, every finding at its place in the text.

import { CAUTIONS, unwise } from "#shared-schema/rules/settings-cautions.ts";
import { validate } from "#shared-schema/rules/validate.ts";
import { type Document, pack } from "#shared-schema/settings/pack.ts";
import { LAYOUT_VERSION, SETTINGS } from "#shared-schema/settings/settings.ts";
import { WORDS } from "#shared-schema/settings/words.ts";
import { fieldOf } from "./field.ts";
import { byPlace, type Issue, type SettingsCaution } from "./issue.ts";
import { type Migrated, migrate } from "./migrate.ts";
import { MIGRATIONS, type Migration } from "./migrations.ts";
import { SettingsReader } from "./reader.ts";
import { type Item, readSource } from "./source.ts";

/** Keys at the top of a file that are not sent to the controller. */
const META_KEYS = ["version", "name"] as const;

/** What a file comes to. `document` is there exactly when there are no issues. */
export interface Checked {
  readonly document?: Document;
  readonly name?: string;
  readonly issues: readonly Issue[];
  readonly cautions: readonly SettingsCaution[];
  /** What was changed to migrate an older file. The file itself stays as it is. */
  readonly migrated: readonly string[];
}

function metaText(root: Item, key: (typeof META_KEYS)[number]): Item | undefined {
  const entries = root.value.form === "keys" ? root.value.entries : [];
  return entries.find((entry) => entry.key === key)?.item;
}

/** The file in the form of the present version, or why not. */
function upToDate(root: Item, migrations: readonly Migration[]): Migrated {
  const item = metaText(root, "version");
  const takes = `version: ${LAYOUT_VERSION}`;
  const common = { code: "wrong-version", field: "version", takes } as const;
  const text = item
    ? "this tool does not know that version of the settings"
    : "the file does not say which version it is written for";
  const issue = item
    ? { ...item.place, ...common, got: item.got, text }
    : { ...root.place, ...common, length: 1, text };
  const version = item?.value.form === "one" ? item.value.value : undefined;
  const whole = typeof version === "number" && Number.isInteger(version) && version <= LAYOUT_VERSION;
  return (whole ? migrate(root, version, migrations) : undefined) ?? { root, notes: [], issues: [issue] };
}

function readName(root: Item): { name?: string; issues: Issue[] } {
  const item = metaText(root, "name");
  if (item === undefined) return { issues: [] };
  if (item.value.form === "one" && item.value.text !== "") return { name: item.value.text, issues: [] };
  const text = "a name is a short text";
  return {
    issues: [{ ...item.place, code: "wrong-shape", field: "name", got: item.got, text, takes: "a text" }],
  };
}

const OUT_OF_LIMITS = 0xffff;

/** Words of what could be read; what could not is put out of its limits, so that no rule builds on it. */
function wordsOf(document: Document, reader: SettingsReader): Uint16Array {
  const words = pack(document);
  const spoilt = (path: string): boolean => {
    if (reader.wrongCounts.has(path)) return true;
    for (let at = path; at !== ""; at = at.slice(0, Math.max(0, at.lastIndexOf("."))))
      if (reader.unusable.has(at)) return true;
    return false;
  };
  for (const word of WORDS) if (spoilt(word.path)) words[word.index] = OUT_OF_LIMITS;
  return words;
}

/** Broken rules. Limits were held while reading, with places and units, so they are not reported twice. */
function brokenRules(words: Uint16Array, reader: SettingsReader): Issue[] {
  return validate(words)
    .filter(({ rule }) => rule !== "limit" && rule !== "unused")
    .map(({ path, rule, text }) => ({
      ...reader.placeOf(path),
      code: "rule",
      field: fieldOf(path),
      text,
      rule,
    }));
}

function cautionsOf(words: Uint16Array, reader: SettingsReader): SettingsCaution[] {
  return CAUTIONS.filter((caution) => unwise(caution, words)).map(({ id, blame, text }) => ({
    ...reader.placeOf(blame),
    caution: id,
    field: fieldOf(blame),
    text,
  }));
}

/** Checks the text of a settings file. Never throws. */
export function checkSettings(text: string, migrations: readonly Migration[] = MIGRATIONS): Checked {
  const { root: written, issues: syntax } = readSource(text);
  if (syntax.length > 0) return { issues: syntax.sort(byPlace), cautions: [], migrated: [] };
  const { root, notes: migrated, issues: old } = upToDate(written, migrations);
  const reader = new SettingsReader();
  const document = reader.fields(SETTINGS.fields, root, "", META_KEYS);
  if (document === undefined) return { issues: reader.issues, cautions: [], migrated };
  const words = wordsOf(document, reader);
  const { name, issues: nameIssues } = readName(root);
  const reported = new Set(old.map(({ field }) => field));
  const found = [...reader.issues, ...brokenRules(words, reader)].filter(({ field }) => !reported.has(field));
  const issues = [...old, ...nameIssues, ...found].sort(byPlace);
  return {
    ...(issues.length === 0 ? { document } : {}),
    ...(name === undefined ? {} : { name }),
    issues,
    cautions: cautionsOf(words, reader).sort(byPlace),
    migrated,
  };
}
