// The table laid out as 16-bit words: place, limits and guard of every word of a stored settings block.
import { SETTINGS } from "./settings.ts";
import type { GroupSetting, SettingNode } from "./table.ts";

/** The word counts only while the word at `index` is above `above`; otherwise it must be 0. */
export interface Guard {
  readonly index: number;
  readonly above: number;
}

/** One stored word. `path` is its place in a document, e.g. `stages.0.ramps.1.points.3.0`. */
export interface Word {
  readonly index: number;
  readonly path: string;
  readonly min: number;
  readonly max: number;
  readonly guard: Guard | undefined;
  readonly node: SettingNode;
  /** What the word holds: a value, whether a group is there, or how many items a list has. */
  readonly role: "value" | "present" | "count";
}

/** Largest place on an axis, raw: 60 s, 60,000 rpm, 6,000 km/h or 6,000 kPa. A place that is never reached does no harm. */
export const AXIS_MAX = 60000;
/** Full flow of a stage in permille. */
export const FULL_SHARE_PERMILLE = 1000;

const words: Word[] = [];

function add(
  path: string,
  min: number,
  max: number,
  guard: Guard | undefined,
  node: SettingNode,
  role: Word["role"],
): number {
  const index = words.length;
  words.push({ index, path, min, max, guard, node, role });
  return index;
}

function addNode(node: SettingNode, parent: string, guard: Guard | undefined): void {
  const path = parent === "" ? node.name : `${parent}.${node.name}`;
  if (node.kind === "number") add(path, node.min, node.max, guard, node, "value");
  else if (node.kind === "choice") add(path, 0, node.options.length - 1, guard, node, "value");
  else if (node.kind === "group") addGroup(node, path, guard);
  else addItems(node, path, guard);
}

function addGroup(node: GroupSetting, path: string, guard: Guard | undefined): void {
  const inner = node.optional ? { index: add(path, 0, 1, guard, node, "present"), above: 0 } : guard;
  for (const field of node.fields) addNode(field, path, inner);
}

function addItems(
  node: Extract<SettingNode, { kind: "list" | "points" }>,
  path: string,
  guard: Guard | undefined,
): void {
  const count = add(path, node.min, node.max, guard, node, "count");
  for (let i = 0; i < node.max; i++) {
    const inner = { index: count, above: i };
    const item = `${path}.${i}`;
    if (node.kind === "list") for (const field of node.fields) addNode(field, item, inner);
    else {
      add(`${item}.0`, 0, AXIS_MAX, inner, node, "value");
      add(`${item}.1`, 0, FULL_SHARE_PERMILLE, inner, node, "value");
    }
  }
}

for (const field of SETTINGS.fields) addNode(field, "", undefined);

/** Every word in stored order. */
export const WORDS: readonly Word[] = words;

const byPath = new Map(WORDS.map((w) => [w.path, w]));

/** Word at a document path. Throws on an unknown path: that is a mistake in the table or the caller. */
export function wordAt(path: string): Word {
  const word = byPath.get(path);
  if (!word) throw new Error(`no setting at ${path}`);
  return word;
}

/** Is the word in use, given all words? Guards look at words that come earlier. */
export function inUse(word: Word, values: ArrayLike<number>): boolean {
  const guard = word.guard;
  return guard === undefined || (values[guard.index] ?? 0) > guard.above;
}
