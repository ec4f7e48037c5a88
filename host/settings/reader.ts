// From YAML values to a raw document, field by field of the table; every mistake is noted and reading goes on.

import { nearestName } from "#host/units/nearest.ts";
import { unhandled } from "#shared-schema/model/unhandled.ts";
import { AXES } from "#shared-schema/settings/settings.ts";
import { fileKey, type NumberSetting, type SettingNode } from "#shared-schema/settings/table.ts";
import { AXIS_MAX, FULL_SHARE_PERMILLE } from "#shared-schema/settings/words.ts";
import { fieldOf } from "./field.ts";
import type { Issue, Place } from "./issue.ts";
import type { Entry, Item } from "./source.ts";
import {
  axisStorage,
  readStored,
  SHARE_STORAGE,
  type Storage,
  storageOf,
  takesUnits,
  writeStored,
} from "./stored.ts";

type Axis = (typeof AXES)[number];
type Facts = Pick<Issue, "code" | "text"> & Partial<Pick<Issue, "takes" | "nearest">>;
type Of<K extends SettingNode["kind"]> = Extract<SettingNode, { kind: K }>;

const optional = (node: SettingNode): boolean => node.kind === "group" && node.optional;
const count = (n: number, one: string): string => `${n} ${one}${n === 1 ? "" : "s"}`;

/** Reads values and remembers places, issues, and which paths hold nothing usable. */
export class SettingsReader {
  readonly issues: Issue[] = [];
  /** Paths whose value is unusable, with all below them. */
  readonly unusable = new Set<string>();
  /** Paths of lists of a wrong length. */
  readonly wrongCounts = new Set<string>();
  private readonly places = new Map<string, Place>();

  /** Place of a path, or of the nearest thing above it that stands in the file. */
  placeOf(path: string): Place {
    const above = path.includes(".") ? path.slice(0, path.lastIndexOf(".")) : "";
    return this.places.get(path) ?? (path === "" ? { line: 1, column: 1, length: 1 } : this.placeOf(above));
  }

  private note(path: string, item: Item | undefined, facts: Facts): undefined {
    const place = item?.place ?? this.placeOf(path);
    const { line, column, length } = place;
    const got = item === undefined ? {} : { got: item.got };
    this.issues.push({ line, column, length, field: fieldOf(path), ...got, ...facts });
    this.unusable.add(path);
    return undefined;
  }

  /** Fields of a group. `others` are keys that stand beside the table's own. */
  fields(
    fields: readonly SettingNode[],
    item: Item,
    path: string,
    others: readonly string[] = [],
  ): Record<string, unknown> | undefined {
    if (item.value.form !== "keys")
      return this.note(path, item, {
        code: "wrong-shape",
        text: "a group of keys belongs here",
        takes: "keys",
      });
    this.places.set(path, this.places.get(path) ?? item.place);
    const entries = new Map(item.value.entries.map((entry) => [entry.key, entry]));
    const meant = this.unknownKeys(fields, entries, path, others);
    const axis = this.axis(fields, entries);
    const pairs = fields.map((field) => {
      const at = path === "" ? field.name : `${path}.${field.name}`;
      return [field.name, this.entry(field, entries.get(fileKey(field)), at, meant, axis)] as const;
    });
    return Object.fromEntries(pairs.filter(([, value]) => value !== undefined));
  }

  private unknownKeys(
    fields: readonly SettingNode[],
    entries: ReadonlyMap<string, Entry>,
    path: string,
    others: readonly string[],
  ): Set<string> {
    const known = [...fields.map(fileKey), ...others];
    const free = known.filter((key) => !entries.has(key));
    const meant = new Set<string>();
    for (const { key, place } of entries.values()) {
      if (known.includes(key)) continue;
      const nearest = nearestName(key, free) ?? nearestName(key, known);
      if (nearest !== undefined) meant.add(nearest);
      const field = [fieldOf(path), key].filter((part) => part !== "").join(".");
      const text = `there is no setting \`${key}\` here`;
      const hint = nearest === undefined ? { takes: known.join(", ") } : { nearest };
      this.issues.push({ ...place, code: "unknown-key", field, got: key, text, ...hint });
    }
    return meant;
  }

  /** What a ramp among these fields runs over; undefined when that is not known. */
  private axis(fields: readonly SettingNode[], entries: ReadonlyMap<string, Entry>): Axis | undefined {
    if (!fields.some((field) => field.kind === "points")) return undefined;
    const value = entries.get("over")?.item.value;
    return value?.form === "one" ? AXES.find((axis) => axis === value.value) : undefined;
  }

  private entry(
    node: SettingNode,
    entry: Entry | undefined,
    path: string,
    meant: ReadonlySet<string>,
    axis: Axis | undefined,
  ): unknown {
    if (entry !== undefined) {
      this.places.set(path, entry.place);
      return this.value(node, entry.item, path, axis);
    }
    if (optional(node)) return undefined;
    this.unusable.add(path);
    if (meant.has(fileKey(node))) return undefined;
    return this.note(path, undefined, {
      code: "missing-key",
      text: `\`${fileKey(node)}\` is missing: ${node.meaning}`,
      takes: takesOf(node),
    });
  }

  private value(node: SettingNode, item: Item, path: string, axis: Axis | undefined): unknown {
    switch (node.kind) {
      case "number":
        return this.number(node, item, path);
      case "choice":
        return this.choice(node, item, path);
      case "group":
        return this.fields(node.fields, item, path);
      case "list":
        return this.items(node, item, path, (each, at) => this.fields(node.fields, each, at) ?? {});
      case "points":
        return this.items(node, item, path, (each, at) => this.point(each, at, axis));
      default:
        return unhandled(node);
    }
  }

  private number(node: NumberSetting, item: Item, path: string): number | undefined {
    return this.stored(item, path, storageOf(node), node.min, node.max, node.reason);
  }

  private stored(
    item: Item,
    path: string,
    storage: Storage,
    min: number,
    max: number,
    reason: string,
  ): number | undefined {
    const takes = `${writeStored(min, storage)} to ${writeStored(max, storage)}`;
    if (item.value.form !== "one" || item.value.value === null)
      return this.note(path, item, {
        code: "wrong-shape",
        text: "one value with its unit belongs here",
        takes,
      });
    const raw = readStored(item.value.text, storage);
    if (typeof raw !== "number") return this.note(path, item, { ...raw, takes: takesUnits(storage) });
    if (raw >= min && raw <= max) return raw;
    return this.note(path, item, { code: "limit", text: `outside its limits (${reason})`, takes });
  }

  private choice(node: Of<"choice">, item: Item, path: string): string | undefined {
    const value = item.value.form === "one" ? item.value.value : undefined;
    const word = typeof value === "boolean" ? (value ? "yes" : "no") : value;
    const found = node.options.find((option) => option === word);
    if (found !== undefined) return found;
    const nearest = typeof word === "string" ? nearestName(word, node.options) : undefined;
    return this.note(path, item, {
      code: "wrong-word",
      text: `${node.meaning}`,
      takes: node.options.join(", "),
      ...(nearest === undefined ? {} : { nearest }),
    });
  }

  private items(
    node: Of<"list" | "points">,
    item: Item,
    path: string,
    read: (item: Item, path: string) => unknown,
  ): unknown[] | undefined {
    const takes = `${node.min} to ${count(node.max, "entr").replace(/entrs?$/, "entries")}`;
    if (item.value.form !== "list")
      return this.note(path, item, { code: "wrong-shape", text: "a list belongs here", takes });
    const { items } = item.value;
    if (items.length < node.min || items.length > node.max) {
      this.wrongCounts.add(path);
      const text = `${items.length === 0 ? "no" : items.length} entries: ${node.meaning}`;
      this.issues.push({ ...this.placeOf(path), code: "wrong-count", field: fieldOf(path), text, takes });
    }
    return items.map((each, i) => {
      this.places.set(`${path}.${i}`, each.place);
      return read(each, `${path}.${i}`);
    });
  }

  private point(item: Item, path: string, axis: Axis | undefined): unknown[] {
    const pair = item.value.form === "list" ? commasJoined(item.value.items) : [];
    if (pair.length !== 2) {
      this.note(path, item, {
        code: "wrong-shape",
        text:
          pair.length > 2
            ? `a pair belongs here, not ${pair.length} values; decimals take a point`
            : "a pair belongs here",
        takes: "[place, share], such as [0.4 s, 35 %]",
      });
      return [];
    }
    const [at, share] = pair as [Item, Item];
    this.places.set(`${path}.0`, at.place);
    this.places.set(`${path}.1`, share.place);
    if (axis === undefined) this.unusable.add(`${path}.0`);
    return [
      axis &&
        this.stored(at, `${path}.0`, axisStorage(axis), 0, AXIS_MAX, "what is stored reaches no further"),
      this.stored(
        share,
        `${path}.1`,
        SHARE_STORAGE,
        0,
        FULL_SHARE_PERMILLE,
        "a share of the stage's full flow",
      ),
    ];
  }
}

/** Digits that may stand before a decimal comma, and what may stand behind one, up to the next comma. */
const [BEFORE_COMMA, BEHIND_COMMA] = [/^[+-]?\d+$/, /^\d+(?:\s*\D.*)?$/];

/** In `[3,5 s, 40 %]` YAML finds three values: a number with a decimal comma is put together again, to be named as one. */
function commasJoined(items: readonly Item[]): readonly Item[] {
  const at = items.length <= 2 ? -1 : items.findIndex((item, i) => isCommaBehind(item, items[i + 1]));
  if (at < 0) return items;
  const [first, second] = [items[at]!, items[at + 1]!];
  const { line, column } = first.place;
  const place = { line, column, length: second.place.column + second.place.length - column };
  const text = `${first.got},${second.got}`;
  const joined: Item = { place, got: text, value: { form: "one", value: text, text } };
  return commasJoined([...items.slice(0, at), joined, ...items.slice(at + 2)]);
}

/** Does the next value begin right behind a comma with no space, as the decimals of this one would? */
function isCommaBehind({ place, got }: Item, next: Item | undefined): boolean {
  if (next === undefined || !BEFORE_COMMA.test(got) || !BEHIND_COMMA.test(next.got)) return false;
  return next.place.line === place.line && next.place.column === place.column + place.length + 1;
}

/** What a missing entry would take, in short. */
function takesOf(node: SettingNode): string {
  if (node.kind === "choice") return node.options.join(", ");
  if (node.kind === "number")
    return `${writeStored(node.min, storageOf(node))} to ${writeStored(node.max, storageOf(node))}`;
  return node.kind === "group" ? node.fields.map(fileKey).join(", ") : `${node.min} to ${node.max} entries`;
}
