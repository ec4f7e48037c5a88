// A settings document as words and back: nothing is lost either way for a document that keeps to the table.
import { SETTINGS } from "./settings.ts";
import type { SettingNode } from "./table.ts";
import { WORDS } from "./words.ts";

/** A settings document: nested objects named as in the table, numbers raw, choices as words, points as pairs. */
export type Document = { readonly [key: string]: unknown };

/** Puts words of the table into a row, in stored order. */
class Writer {
  readonly words = new Uint16Array(WORDS.length);
  private at = 0;

  put(value: unknown): void {
    this.words[this.at++] = typeof value === "number" ? value : 0;
  }

  node(node: SettingNode, value: unknown): void {
    if (node.kind === "number") this.put(value);
    else if (node.kind === "choice") this.put(value === undefined ? 0 : node.options.indexOf(String(value)));
    else if (node.kind === "group") this.group(node, value);
    else this.items(node, value);
  }

  private group(node: Extract<SettingNode, { kind: "group" }>, value: unknown): void {
    if (node.optional) this.put(value === undefined ? 0 : 1);
    this.fields(node.fields, value);
  }

  fields(fields: readonly SettingNode[], value: unknown): void {
    const object = (value ?? {}) as Document;
    for (const field of fields) this.node(field, object[field.name]);
  }

  private items(node: Extract<SettingNode, { kind: "list" | "points" }>, value: unknown): void {
    const list = (value ?? []) as unknown[];
    this.put(list.length);
    for (let i = 0; i < node.max; i++) {
      if (node.kind === "list") this.fields(node.fields, list[i]);
      else for (const part of [0, 1]) this.put((list[i] as unknown[] | undefined)?.[part]);
    }
  }
}

/** Words of a document. The document must have passed `checkDocument`; absent optional parts become zeros. */
export function pack(document: Document): Uint16Array {
  const writer = new Writer();
  writer.fields(SETTINGS.fields, document);
  return writer.words;
}

/** Takes words of the table from a row, in stored order. */
class Reader {
  private at = 0;
  private readonly words: ArrayLike<number>;

  constructor(words: ArrayLike<number>) {
    this.words = words;
  }

  private take(): number {
    return this.words[this.at++] ?? 0;
  }

  node(node: SettingNode): unknown {
    if (node.kind === "number") return this.take();
    if (node.kind === "choice") return node.options[this.take()];
    if (node.kind === "group") {
      const there = node.optional ? this.take() !== 0 : true;
      const value = this.fields(node.fields);
      return there ? value : undefined;
    }
    return this.items(node);
  }

  fields(fields: readonly SettingNode[]): Document {
    const pairs = fields.map((field) => [field.name, this.node(field)] as const);
    return Object.fromEntries(pairs.filter(([, value]) => value !== undefined));
  }

  private items(node: Extract<SettingNode, { kind: "list" | "points" }>): unknown[] {
    const count = this.take();
    const all = Array.from({ length: node.max }, () =>
      node.kind === "list" ? this.fields(node.fields) : [this.take(), this.take()],
    );
    return all.slice(0, count);
  }
}

/** Document of a row of valid words; `pack(unpack(words))` gives the same words. */
export function unpack(words: ArrayLike<number>): Document {
  return new Reader(words).fields(SETTINGS.fields);
}

/** Words as little-endian bytes, as they are sent and stored. */
export function toBytes(words: Uint16Array): Uint8Array {
  const bytes = new Uint8Array(words.length * 2);
  const view = new DataView(bytes.buffer);
  words.forEach((word, i) => {
    view.setUint16(2 * i, word, true);
  });
  return bytes;
}

/** Bytes back to words. Throws a RangeError when the length is odd. */
export function fromBytes(bytes: Uint8Array): Uint16Array {
  if (bytes.length % 2 !== 0) throw new RangeError("a settings block has an even number of bytes");
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  return Uint16Array.from({ length: bytes.length / 2 }, (_, i) => view.getUint16(2 * i, true));
}
