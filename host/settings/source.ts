// The text of a settings file as YAML nodes with places; what is not well-formed becomes issues, never an exception.
import {
  isAlias,
  isMap,
  isScalar,
  isSeq,
  LineCounter,
  type Node,
  type Pair,
  parseDocument,
  type YAMLMap,
} from "yaml";
import { yamlWords } from "#host/errors/yaml-words.ts";
import type { Issue, Place } from "./issue.ts";

/** What a value can be in a settings file. */
export type Value =
  | { readonly form: "one"; readonly value: unknown; readonly text: string }
  | { readonly form: "keys"; readonly entries: readonly Entry[] }
  | { readonly form: "list"; readonly items: readonly Item[] };

/** A value at its place. */
export interface Item {
  readonly place: Place;
  readonly value: Value;
  /** The text as it stands in the file, its first line, shortened. */
  readonly got: string;
}

/** A key with its value. */
export interface Entry {
  readonly key: string;
  readonly place: Place;
  readonly item: Item;
}

const SHOWN = 60;
const NOTHING: Place = { line: 1, column: 1, length: 1 };

/** Turns nodes of the YAML library into values; aliases are followed. */
class Walker {
  private readonly text: string;
  private readonly lines: LineCounter;
  private readonly root: { resolve(node: Node): Node | undefined };
  private depth = 0;

  constructor(text: string, lines: LineCounter, root: { resolve(node: Node): Node | undefined }) {
    this.text = text;
    this.lines = lines;
    this.root = root;
  }

  place(start: number, end: number): Place {
    const { line, col } = this.lines.linePos(start);
    const shown = this.text.slice(start, end).split("\n", 1)[0]!.trimEnd();
    return { line: Math.max(1, line), column: Math.max(1, col), length: Math.max(1, shown.length) };
  }

  item(node: Node | null, at: Place): Item {
    const range = node?.range;
    const place = range ? this.place(range[0], range[1]) : at;
    const got = range
      ? this.text.slice(range[0], range[1]).split("\n", 1)[0]!.trim().slice(0, SHOWN)
      : "nothing";
    return { place, got, value: this.value(node, place) };
  }

  private value(node: Node | null, place: Place): Value {
    if (isAlias(node) && this.depth < 3) {
      this.depth++;
      const value = this.value(this.root.resolve(node) ?? null, place);
      this.depth--;
      return value;
    }
    if (isMap(node)) return { form: "keys", entries: this.entries(node) };
    if (isSeq(node)) return { form: "list", items: node.items.map((item) => this.item(item as Node, place)) };
    if (!isScalar(node)) return { form: "one", value: null, text: "" };
    const text = typeof node.value === "string" ? node.value : (node.source ?? "");
    return { form: "one", value: node.value, text };
  }

  private entries(map: YAMLMap): Entry[] {
    return (map.items as Pair<Node, Node | null>[]).map(({ key, value }) => {
      const range = key.range ?? [0, 0, 0];
      const place = this.place(range[0], range[1]);
      const name = isScalar(key) ? String(key.value) : this.text.slice(range[0], range[1]);
      return { key: name, place, item: this.item(value, place) };
    });
  }
}

/** Reads a text as one YAML 1.2 document. */
export function readSource(text: string): { root: Item; issues: Issue[] } {
  const lines = new LineCounter();
  const document = parseDocument(text, {
    lineCounter: lines,
    version: "1.2",
    schema: "core",
    prettyErrors: false,
  });
  const resolve = (node: Node): Node | undefined => (isAlias(node) ? node.resolve(document) : node);
  const walker = new Walker(text, lines, { resolve });
  // A foreign tag is only a warning of the library: the value would be taken as if it were not there.
  const issues = [...document.errors, ...document.warnings].map(
    (error): Issue => ({
      ...walker.place(error.pos[0], error.pos[1]),
      code: "yaml-syntax",
      field: "",
      text: yamlWords(error),
    }),
  );
  return { root: walker.item(document.contents, NOTHING), issues };
}
