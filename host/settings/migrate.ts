// Settings files of older versions, migrated to the present one step by step: every change is reported, and what only a person can decide is refused.

import { UNITS } from "#shared-schema/model/units.ts";
import { LAYOUT_VERSION } from "#shared-schema/settings/settings.ts";
import type { Issue } from "./issue.ts";
import { MIGRATIONS, type Migration, type MigrationStep, type RangeStep } from "./migrations.ts";
import { type Entry, type Item, readSource } from "./source.ts";
import { readStored, writeStored } from "./stored.ts";

/** A migrated file: what was changed, in words, and what stopped it. */
export interface Migrated {
  readonly root: Item;
  readonly notes: readonly string[];
  readonly issues: readonly Issue[];
}

/** Collects what happens on the way. */
interface Log {
  readonly notes: string[];
  readonly issues: Issue[];
}

const join = (...parts: readonly string[]): string => parts.filter((part) => part !== "").join(".");

function added(step: Extract<MigrationStep, { do: "add" }>, group: Item): Entry {
  const { value } = readSource(step.value).root;
  const { place } = group;
  return { key: step.key, place, item: { place, value, got: step.value } };
}

/** Refuses what only a person can decide, at its place. */
function refuse(entry: Entry, field: string, why: string, log: Log, takes?: string): void {
  const text = `this setting cannot be migrated automatically: ${why}`;
  const { item } = entry;
  const place = takes === undefined ? entry.place : item.place;
  log.issues.push({
    ...place,
    code: "wrong-version",
    field,
    got: item.got,
    text,
    ...(takes ? { takes } : {}),
  });
}

/** A value that cannot be read is left to the reader, which says so. */
function keepToRange(step: RangeStep, entry: Entry, field: string, log: Log): void {
  const { value } = entry.item;
  const storage = { unit: UNITS[step.unit], difference: false };
  const raw = value.form === "one" ? readStored(value.text, storage) : undefined;
  if (typeof raw !== "number") return;
  const limit = raw < (step.min ?? raw) ? step.min : raw > (step.max ?? raw) ? step.max : undefined;
  if (limit === undefined) return;
  const side = limit === step.min ? "at least" : "at most";
  refuse(entry, field, step.why, log, `${side} ${writeStored(limit, storage)}`);
}

/** The entries of one group after a step. */
function changed(
  step: MigrationStep,
  entries: readonly Entry[],
  group: Item,
  where: string,
  log: Log,
): readonly Entry[] {
  const field = join(where, step.key);
  const found = entries.find((entry) => entry.key === step.key);
  if (step.do === "add") {
    if (found) return entries;
    log.notes.push(`${field} is new and set to ${step.value}: ${step.why}`);
    return [...entries, added(step, group)];
  }
  if (!found) return entries;
  if (step.do === "rename") {
    log.notes.push(`${field} is now called ${join(where, step.to)}`);
    return entries.map((entry) => (entry === found ? { ...entry, key: step.to } : entry));
  }
  if (step.do === "drop") {
    log.notes.push(`${field} is removed: ${step.why}`);
    return entries.filter((entry) => entry !== found);
  }
  if (step.do === "range") keepToRange(step, found, field, log);
  else refuse(found, field, step.why, log);
  return entries;
}

/** Applies a step to the group at `path` below an item. */
function apply(step: MigrationStep, path: readonly string[], item: Item, where: string, log: Log): Item {
  const { value } = item;
  const [first, ...rest] = path;
  if (first === "*" && value.form === "list") {
    const items = value.items.map((each, i) => apply(step, rest, each, join(where, String(i + 1)), log));
    return { ...item, value: { form: "list", items } };
  }
  if (value.form !== "keys") return item;
  const entries =
    first === undefined
      ? changed(step, value.entries, item, where, log)
      : value.entries.map((entry) =>
          entry.key === first
            ? { ...entry, item: apply(step, rest, entry.item, join(where, first), log) }
            : entry,
        );
  return { ...item, value: { form: "keys", entries } };
}

/** Migrates a file of an older version to the present one. A version that no chain of migrations leads from gives undefined. */
export function migrate(
  root: Item,
  version: number,
  migrations: readonly Migration[] = MIGRATIONS,
  present = LAYOUT_VERSION,
): Migrated | undefined {
  const log: Log = { notes: [], issues: [] };
  let at = root;
  for (let from = version; from < present; from++) {
    const migration = migrations.find((m) => m.from === from);
    if (!migration) return undefined;
    for (const step of migration.steps)
      at = apply(step, step.at === "" ? [] : step.at.split("."), at, "", log);
  }
  return { root: at, ...log };
}
