/** Three-way merge of plain values: what a person changed since the last plan stays, the rest follows the new plan. */

/** A plain value as JSON or YAML gives it; undefined means: not there. */
export type Plain =
  | string
  | number
  | boolean
  | null
  | undefined
  | readonly Plain[]
  | { readonly [key: string]: Plain };

/** A position where a person's value was kept though the plan now says something else. */
export interface Kept {
  readonly path: readonly (string | number)[];
  readonly kept: Plain;
  readonly planned: Plain;
}

/** The merged value, and what was kept of the person's. */
export interface Merged {
  readonly value: Plain;
  readonly kept: readonly Kept[];
}

type Keyed = { readonly [key: string]: Plain };

const isKeyed = (value: Plain): value is Keyed =>
  typeof value === "object" && value !== null && !Array.isArray(value);

/** Lists of groups merge entry by entry; lists of plain values or pairs (a ramp's points) are one value. */
const isGroups = (value: Plain): value is readonly Keyed[] =>
  Array.isArray(value) && value.length > 0 && value.every(isKeyed);

/** Deep equality of plain values; the order of keys does not matter. */
export function equalPlain(a: Plain, b: Plain): boolean {
  if (Array.isArray(a) && Array.isArray(b))
    return a.length === b.length && a.every((value, i) => equalPlain(value, b[i]));
  if (!isKeyed(a) || !isKeyed(b)) return a === b;
  return [...new Set([...Object.keys(a), ...Object.keys(b)])].every((key) => equalPlain(a[key], b[key]));
}

function mergeKeyed(base: Plain, mine: Keyed, planned: Keyed, path: Kept["path"]): Merged {
  const old = isKeyed(base) ? base : {};
  const keys = [...new Set([...Object.keys(planned), ...Object.keys(mine)])];
  const kept: Kept[] = [];
  const entries = keys.map((key) => {
    const merged = mergePlain(old[key], mine[key], planned[key], [...path, key]);
    kept.push(...merged.kept);
    return [key, merged.value] as const;
  });
  return { value: Object.fromEntries(entries.filter(([, value]) => value !== undefined)), kept };
}

function mergeGroups(
  base: Plain,
  mine: readonly Keyed[],
  planned: readonly Keyed[],
  path: Kept["path"],
): Merged {
  const old = isGroups(base) ? base : [];
  const kept: Kept[] = [];
  const values = Array.from({ length: Math.max(mine.length, planned.length) }, (_, i) => {
    const merged = mergePlain(old[i], mine[i], planned[i], [...path, i]);
    kept.push(...merged.kept);
    return merged.value;
  });
  return { value: values.filter((value) => value !== undefined), kept };
}

/** Merges a person's value with the new plan's, `base` being what the plan said before. */
export function mergePlain(base: Plain, mine: Plain, planned: Plain, path: Kept["path"] = []): Merged {
  if (isKeyed(mine) && isKeyed(planned)) return mergeKeyed(base, mine, planned, path);
  if (isGroups(mine) && isGroups(planned)) return mergeGroups(base, mine, planned, path);
  if (equalPlain(mine, base) || equalPlain(mine, planned)) return { value: planned, kept: [] };
  return { value: mine, kept: [{ path, kept: mine, planned }] };
}
