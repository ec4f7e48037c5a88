// The settings file of a plan: written new, or merged into the one there so that a person's edits and comments stay.
import { existsSync } from "node:fs";
import { resolve } from "node:path";
import { isSeq, parse, parseDocument } from "yaml";
import { Failure } from "#host/errors/failure.ts";
import { equalPlain, type Kept, mergePlain, type Plain } from "#host/plan/merge.ts";
import { checkSettings } from "#host/settings/check.ts";
import { type Change, diffDocuments } from "#host/settings/diff.ts";
import { formatSettings } from "#host/settings/write.ts";
import { type Document, fromBytes, pack, toBytes, unpack } from "#shared-schema/settings/pack.ts";
import { readText, writeNew, writeOver } from "../files.ts";
import type { Io } from "../io.ts";
import { schemaUrl } from "../schema-url.ts";

/** What became of the file. `changes` are against what stood there before; `kept` are the person's values that won. */
export interface Written {
  readonly file: string;
  readonly isNew: boolean;
  readonly changes: readonly Change[];
  readonly kept: readonly Kept[];
}

/** Last line of a planned file: what the plan said, so that the next one can tell a person's edits from its own. */
const MARK = "# planned: ";

const markOf = (document: Document): string => MARK + Buffer.from(toBytes(pack(document))).toString("base64");

function baseOf(text: string): Document | undefined {
  const line = text.split("\n").find((candidate) => candidate.startsWith(MARK));
  if (line === undefined) return undefined;
  const document = unpack(fromBytes(Buffer.from(line.slice(MARK.length), "base64")));
  return equalPlain(markOf(document), line) ? document : undefined;
}

/** First lines of a planned file: what somebody answers for, with the reason. */
const ACKNOWLEDGED = "# ACKNOWLEDGED ";

/** What somebody answers for, by name. */
type Reasons = Readonly<Record<string, string>>;

/** The file with the acknowledged on top and the mark at the end, each in place of what stood there before. */
const withMark = (text: string, document: Document, reasons: Reasons): string => {
  const kept = text.split("\n").filter((line) => !line.startsWith(MARK) && !line.startsWith(ACKNOWLEDGED));
  const top = Object.entries(reasons).map(
    ([name, reason]) => `${ACKNOWLEDGED}${name}: ${reason.replace(/\s+/gu, " ")}\n`,
  );
  return `${top.join("")}${kept.join("\n").trimEnd()}\n${markOf(document)}\n`;
};

/** The tree of keys and texts that a document is written as. */
const treeOf = (document: Document): Plain => parse(formatSettings(document)) as Plain;

function checked(file: string, text: string, what: string): Document {
  const { document, issues } = checkSettings(text);
  if (document !== undefined) return document;
  const all = issues.map((i) => `${file}:${i.line}:${i.column} ${i.field}: ${i.text}`).join("\n");
  throw new Failure("bad-settings", { what: `${what}; nothing was written\n${all}`, data: { file, issues } });
}

type Path = readonly (string | number)[];
type Yaml = ReturnType<typeof parseDocument>;

/** Writes into the file's own YAML only what differs, so that comments and the person's units stay everywhere else. */
function apply(yaml: Yaml, before: Plain, after: Plain, path: Path): void {
  if (equalPlain(before, after)) return;
  if (Array.isArray(before) && Array.isArray(after) && before.length === after.length && !isPoints(after)) {
    for (const [i, value] of after.entries()) apply(yaml, before[i], value, [...path, i]);
  } else if (isTree(before) && isTree(after)) {
    for (const key of new Set([...Object.keys(before), ...Object.keys(after)]))
      apply(yaml, before[key], after[key], [...path, key]);
  } else if (after === undefined) yaml.deleteIn(path);
  else yaml.setIn(path, flowPoints(yaml, after));
}

const isTree = (value: Plain): value is { readonly [key: string]: Plain } =>
  typeof value === "object" && value !== null && !Array.isArray(value);
const isPoints = (value: readonly Plain[]): boolean => value.every((entry) => Array.isArray(entry));

/** A YAML node of a value; pairs of a ramp stand on one line each. */
function flowPoints(yaml: Yaml, value: Plain) {
  const node = yaml.createNode(value);
  if (isSeq(node)) for (const item of node.items) if (isSeq(item)) item.flow = true;
  return node;
}

function mergedText(
  file: string,
  text: string,
  planned: Document,
  reasons: Reasons,
): { text: string; kept: readonly Kept[] } {
  const base = baseOf(text);
  if (base === undefined) {
    throw new Failure("file-exists", {
      what: `${file} is there and was not written by a plan of this version`,
    });
  }
  const mine = treeOf(checked(file, text, `${file} has errors`));
  const { value, kept } = mergePlain(treeOf(base), mine, treeOf(planned));
  if (equalPlain(mine, value)) return { text: withMark(text, planned, reasons), kept };
  const yaml = parseDocument(text);
  apply(yaml, mine, value, []);
  const written = yaml.toString({ lineWidth: 0, flowCollectionPadding: false });
  return { text: withMark(written, planned, reasons), kept };
}

/** Writes or merges. Fails with `bad-settings` (nothing is written) when the result would not pass the check. */
export function writePlanned(
  io: Io,
  file: string,
  planned: Document,
  name: string,
  reasons: Reasons,
): Written {
  const fresh = withMark(formatSettings(planned, { name, schema: schemaUrl() }), planned, reasons);
  checked(file, fresh, "the planned settings do not pass the check");
  if (!existsSync(resolve(io.cwd, file))) {
    writeNew(io, file, fresh);
    return { file, isNew: true, changes: diffDocuments(undefined, planned), kept: [] };
  }
  const before = readText(io, file);
  const merged = mergedText(file, before, planned, reasons);
  const after = checked(file, merged.text, "the planned settings and your edits contradict each other");
  if (merged.text !== before) writeOver(io, file, merged.text);
  return {
    file,
    isNew: false,
    changes: diffDocuments(checked(file, before, file), after),
    kept: merged.kept,
  };
}
