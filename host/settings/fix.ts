// Mends what is only written wrongly in a settings file: misspelt keys, words and units, decimal commas, order. Never a value.
import { isMap, isScalar, isSeq, type Node, type Pair, parseDocument, type YAMLMap } from "yaml";
import { SETTINGS } from "#shared-schema/settings/settings.ts";
import { fileKey, type SettingNode } from "#shared-schema/settings/table.ts";
import { checkSettings } from "./check.ts";
import { settingsHash } from "./hash.ts";
import type { Issue } from "./issue.ts";

/** One change. Places count from 1; those of an order have the place of the group. */
export interface Fix {
  readonly kind: "spelling" | "unit" | "decimal comma" | "order";
  readonly line: number;
  readonly column: number;
  readonly field: string;
  readonly from: string;
  readonly to: string;
}

/** A text with what was changed in it. */
export interface Fixed {
  readonly text: string;
  readonly fixes: readonly Fix[];
}

const DECIMAL_COMMA = /^(['"]?[+-]?\d+),(\d{1,2})(?!\d)/;
const UNIT = /^(['"]?[+-]?[\d.]+\s*)([^\s'"].*?)((?:\s+(?:absolute|gauge))?['"]?)$/;

const letters = (text: string): string => [...text.toLowerCase().replace(/[\s.]/g, "")].sort().join("");

/** The same letters in another order or case: no other unit can be meant. */
function respelt(written: string, nearest: string | undefined): string | undefined {
  const [, before = "", unit = "", after = ""] = UNIT.exec(written) ?? [];
  if (nearest === undefined || unit === "" || letters(unit) !== letters(nearest)) return undefined;
  return `${before}${nearest}${after}`;
}

/** What should stand in place of a text, by what is wrong with it. */
function wordFor(issue: Issue, written: string): Pick<Fix, "kind" | "to"> | undefined {
  const { code, nearest } = issue;
  if ((code === "unknown-key" || code === "wrong-word") && nearest !== undefined)
    return { kind: "spelling", to: nearest };
  if (code === "bad-number" && DECIMAL_COMMA.test(written))
    return { kind: "decimal comma", to: written.replace(DECIMAL_COMMA, "$1.$2") };
  const to = code === "wrong-unit" ? respelt(written, nearest) : undefined;
  return to === undefined ? undefined : { kind: "unit", to };
}

function replaced(text: string, { line, column, from, to }: Fix): string {
  const lines = text.split("\n");
  const whole = lines[line - 1]!;
  lines[line - 1] = whole.slice(0, column - 1) + to + whole.slice(column - 1 + from.length);
  return lines.join("\n");
}

function fixFor(text: string, issue: Issue): Fix | undefined {
  const { line, column, length, field } = issue;
  const from = (text.split("\n")[line - 1] ?? "").slice(column - 1, column - 1 + length);
  const word = from === "" ? undefined : wordFor(issue, from);
  return word && { ...word, line, column, field, from };
}

const sameFault = (a: Issue, b: Issue): boolean =>
  a.code === b.code && a.line === b.line && a.column === b.column;

/** Is the fault gone, and the file as well-formed as it was? */
function mends(text: string, issue: Issue): boolean {
  return !checkSettings(text).issues.some((left) => sameFault(left, issue) || left.code === "yaml-syntax");
}

/** Mends words, the last one of the file first, so that places stay those of the issues. */
function fixWords(text: string): Fixed {
  const issues = [...checkSettings(text).issues].sort((a, b) => b.line - a.line || b.column - a.column);
  return issues.reduce<Fixed>(
    (done, issue) => {
      const fix = fixFor(done.text, issue);
      const changed = fix && replaced(done.text, fix);
      if (!fix || changed === undefined || !mends(changed, issue)) return done;
      return { text: changed, fixes: [fix, ...done.fixes] };
    },
    { text, fixes: [] },
  );
}

const META = ["version", "name"];
const keyOf = ({ key }: Pair): string => (isScalar(key) ? String(key.value) : "");

/** Puts the keys of a group, and of all groups in it, into the order of the table. True when any was moved. */
function order(node: Node | null, fields: readonly SettingNode[], first: readonly string[] = []): boolean {
  if (isSeq(node)) return node.items.map((item) => order(item as Node, fields)).some(Boolean);
  if (!isMap(node)) return false;
  const known = [...first, ...fields.map(fileKey)];
  const items = (node as YAMLMap<Node, Node | null>).items;
  const before = items.map(keyOf);
  items.sort((a, b) => known.indexOf(keyOf(a)) - known.indexOf(keyOf(b)));
  const moved = items.map(keyOf).some((key, i) => key !== before[i]);
  const inside = fields.map((field) => {
    const item = items.find((one) => keyOf(one) === fileKey(field));
    return item && "fields" in field ? order(item.value, field.fields) : false;
  });
  return moved || inside.some(Boolean);
}

/** The order in which the tool writes groups; only where the file has no error, and only if it then says the same. */
function fixOrder(text: string): Fixed {
  const { document } = checkSettings(text);
  if (!document) return { text, fixes: [] };
  const tree = parseDocument(text, { version: "1.2", schema: "core" });
  if (!order(tree.contents as Node, SETTINGS.fields, META)) return { text, fixes: [] };
  const ordered = tree.toString({ lineWidth: 0, flowCollectionPadding: true });
  const after = checkSettings(ordered).document;
  if (!after || settingsHash(after) !== settingsHash(document)) return { text, fixes: [] };
  const fix: Fix = {
    kind: "order",
    line: 1,
    column: 1,
    field: "",
    from: "another order",
    to: "the order of the table",
  };
  return { text: ordered, fixes: [fix] };
}

/** Mends what can be. A second run finds nothing more. */
export function fixSettings(text: string): Fixed {
  let done: Fixed = { text, fixes: [] };
  for (let more = fixWords(text); more.fixes.length > 0; more = fixWords(done.text))
    done = { text: more.text, fixes: [...done.fixes, ...more.fixes] };
  const ordered = fixOrder(done.text);
  return { text: ordered.text, fixes: [...done.fixes, ...ordered.fixes] };
}
