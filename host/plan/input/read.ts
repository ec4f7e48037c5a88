/** From the text of a car file to its values, or to every error in it at once, each with line, column and remedy. */
import { type Document, isMap, isNode, LineCounter, parseDocument } from "yaml";
import * as z from "zod";
import { yamlWords } from "#host/errors/yaml-words.ts";
import { nearestName } from "#host/units/nearest.ts";
import { type FormError, withCommas } from "./commas.ts";
import { type CarFile, carFileSchema } from "./schema.ts";

/** One thing wrong with a car file. Line and column count from 1; `path` is the key, `engine.power`. */
export interface CarFileError {
  readonly line: number;
  readonly column: number;
  readonly path: string;
  readonly message: string;
  readonly remedy: string;
}

/** The position in the file for a path, so that later checks can point at the value that they refuse. */
export type Locate = (path: string) => { line: number; column: number };

/** A car file that could be read, or its errors in file order. */
export type ReadCarFile =
  | { readonly ok: true; readonly file: CarFile; readonly locate: Locate }
  | { readonly ok: false; readonly errors: readonly CarFileError[] };

const LIST_REMEDY =
  "write a list such as [3.2, 2.0] for ratios, or pairs such as [[2000 rpm, 200 Nm], ...] for curves";

/** Forms that a value has as a whole; other types are named by their fields. */
const FORMS: readonly string[] = ["object", "array", "tuple"];

type Path = FormError["path"];

/** Position of the deepest node of a path that exists; with `key`, that of the key itself. */
function offsetOf(document: Document, path: Path): number {
  for (let depth = path.length; depth > 0; depth--) {
    const parent = document.getIn(path.slice(0, depth - 1), true);
    const key = path[depth - 1];
    if (isMap(parent)) {
      const pair = parent.items.find((item) => isNode(item.key) && String(item.key) === String(key));
      if (pair !== undefined && isNode(pair.key)) {
        const target =
          depth === path.length && isNode(pair.value) && !isMap(pair.value) ? pair.value : pair.key;
        return target.range?.[0] ?? 0;
      }
    }
    const node = document.getIn(path.slice(0, depth), true);
    if (isNode(node)) return node.range?.[0] ?? 0;
  }
  return 0;
}

function knownKeys(path: Path): string[] {
  let schema: z.ZodType | undefined = carFileSchema;
  for (const step of path) {
    const object = unwrap(schema);
    schema = object?.shape[String(step)];
  }
  return Object.keys(unwrap(schema)?.shape ?? {});
}

function unwrap(schema: z.ZodType | undefined): z.ZodObject | undefined {
  let inner = schema;
  while (inner instanceof z.ZodOptional) inner = inner.unwrap() as z.ZodType;
  return inner instanceof z.ZodObject ? inner : undefined;
}

function unknownKey(key: string, path: Path): FormError {
  const known = knownKeys(path);
  const nearest = nearestName(key, known);
  const remedy =
    nearest === undefined ? `known keys here: ${known.join(", ")}` : `did you mean "${nearest}"?`;
  return { path: [...path, key], message: `unknown key "${key}"`, remedy };
}

/** A value where a group of keys or a list stands, or the other way round. */
function wrongForm(path: Path, expected: string): FormError {
  const group = expected === "object";
  return {
    path,
    message: group ? "takes keys of its own, and has none here" : "takes a list, and has none here",
    remedy: group ? `known keys here: ${knownKeys(path).join(", ")}` : LIST_REMEDY,
  };
}

function flatten(issue: z.core.$ZodIssue): FormError[] {
  const path = issue.path.filter((step) => typeof step !== "symbol") as Path;
  if (issue.code === "unrecognized_keys") return issue.keys.map((key) => unknownKey(key, path));
  if (issue.code === "invalid_type" && issue.input !== undefined && FORMS.includes(issue.expected))
    return [wrongForm(path, issue.expected)];
  const given = issue.code === "custom" ? (issue.params?.remedy as string | undefined) : undefined;
  const missingGroup = issue.code === "invalid_type" && issue.input === undefined;
  const message = missingGroup ? `"${path.at(-1)}" is missing` : issue.message;
  const length = issue.code === "too_small" || issue.code === "too_big";
  if (length && issue.origin === "array")
    return [{ path, message: "too few or too many entries", remedy: LIST_REMEDY }];
  const usual =
    issue.code === "invalid_value"
      ? "write one of these words, in small letters"
      : "see docs/plan.md for the keys and an example";
  return [{ path, message, remedy: given ?? usual }];
}

function fromSyntax(document: Document, lines: LineCounter): CarFileError[] {
  return document.errors.map((error) => {
    const { line, col } = lines.linePos(error.pos[0]);
    const remedy =
      error.code === "DUPLICATE_KEY"
        ? "keep one of the two"
        : "correct the YAML: two spaces for each level, a space after each colon, no tabs";
    return { line, column: col, path: "", message: yamlWords(error), remedy };
  });
}

const UNRESOLVED: CarFileError = {
  line: 1,
  column: 1,
  path: "",
  message: "an alias (*name) comes before its anchor (&name), or expands to too much text",
  remedy: "write the value out; a car file needs no aliases",
};

/** The document's plain values; undefined when an alias in it cannot be resolved. */
function plainValues(document: Document): unknown {
  try {
    return document.toJS() ?? {};
  } catch (thrown) {
    if (thrown instanceof ReferenceError) return undefined;
    throw thrown;
  }
}

/** Reads a car file. Never throws for what is in the text. */
export function readCarFile(text: string): ReadCarFile {
  const lines = new LineCounter();
  const document = parseDocument(text, { lineCounter: lines, uniqueKeys: true });
  if (document.errors.length > 0) return { ok: false, errors: fromSyntax(document, lines) };
  const place = (path: Path) => {
    const { line, col } = lines.linePos(offsetOf(document, path));
    return { line: Math.max(1, line), column: Math.max(1, col) };
  };
  const values = plainValues(document);
  if (values === undefined) return { ok: false, errors: [UNRESOLVED] };
  const parsed = carFileSchema.safeParse(values, { reportInput: true });
  if (parsed.success) return { ok: true, file: parsed.data, locate: (path) => place(path.split(".")) };
  const found = withCommas(document, text, parsed.error.issues.flatMap(flatten));
  const errors = found.map(({ path, message, remedy }) => {
    return { ...place(path), path: path.join("."), message, remedy };
  });
  return { ok: false, errors: errors.sort((a, b) => a.line - b.line || a.column - b.column) };
}
