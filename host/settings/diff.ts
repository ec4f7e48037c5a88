// What changes between two documents, setting by setting, in people's units; ramps as a whole.
import { unhandled } from "#shared-schema/model/unhandled.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import { type AXES, SETTINGS } from "#shared-schema/settings/settings.ts";
import type { SettingNode } from "#shared-schema/settings/table.ts";
import { fieldOf } from "./field.ts";
import { axisStorage, SHARE_STORAGE, storageOf, writeStored } from "./stored.ts";

type Axis = (typeof AXES)[number];
type Pairs = readonly (readonly [number, number])[];

/** One difference. A missing side means that the part is not there. */
export interface Change {
  readonly field: string;
  readonly before?: string;
  readonly after?: string;
  /** For ramp points: both curves, raw, and their ends on the axis in words; only when both run over the same axis. */
  readonly ramp?: {
    readonly before: Pairs;
    readonly after: Pairs;
    readonly left: string;
    readonly right: string;
  };
}

/** Paths and texts of one side. */
type Side = { readonly value: unknown; readonly axis: Axis };

const pointText = (pairs: Pairs, axis: Axis): string =>
  pairs
    .map(([at, share]) => `[${writeStored(at, axisStorage(axis))}, ${writeStored(share, SHARE_STORAGE)}]`)
    .join(" ");

function textOf(node: SettingNode, { value, axis }: Side): string | undefined {
  if (value === undefined) return undefined;
  if (node.kind === "number") return writeStored(value as number, storageOf(node));
  if (node.kind === "points") return pointText(value as Pairs, axis);
  if (node.kind === "choice") return String(value);
  if (node.kind === "group" || node.kind === "list") return "there";
  return unhandled(node);
}

function rampOf(before: Side, after: Side): Pick<Change, "ramp"> {
  const [was, is] = [before.value, after.value].map((value) => (value ?? []) as Pairs) as [Pairs, Pairs];
  const places = [...was, ...is].map(([at]) => at);
  const text = (raw: number): string => writeStored(raw, axisStorage(after.axis));
  return {
    ramp: { before: was, after: is, left: text(Math.min(...places)), right: text(Math.max(...places)) },
  };
}

function leaf(node: SettingNode, path: string, before: Side, after: Side): Change[] {
  const [was, is] = [textOf(node, before), textOf(node, after)];
  if (was === is) return [];
  const ramp = node.kind === "points" && before.axis === after.axis ? rampOf(before, after) : {};
  return [
    {
      field: fieldOf(path),
      ...(was === undefined ? {} : { before: was }),
      ...(is === undefined ? {} : { after: is }),
      ...ramp,
    },
  ];
}

function inner(side: Side, name: string | number): Side {
  const object = (side.value ?? {}) as Record<string, unknown>;
  return { value: object[name], axis: (object.over as Axis | undefined) ?? side.axis };
}

function compare(node: SettingNode, path: string, before: Side, after: Side): Change[] {
  if (node.kind === "group") {
    const gone = [before, after].filter((side) => side.value === undefined).length === 1;
    return [...(gone ? leaf(node, path, before, after) : []), ...fields(node.fields, path, before, after)];
  }
  if (node.kind !== "list") return leaf(node, path, before, after);
  return Array.from({ length: node.max }, (_, i) => i).flatMap((i) => {
    const each: SettingNode = { ...node, kind: "group", optional: true };
    return compare(each, `${path}.${i}`, inner(before, i), inner(after, i));
  });
}

function fields(nodes: readonly SettingNode[], path: string, before: Side, after: Side): Change[] {
  return nodes.flatMap((node) => {
    const at = path === "" ? node.name : `${path}.${node.name}`;
    return compare(node, at, inner(before, node.name), inner(after, node.name));
  });
}

/** All differences in the order of the table. `before` undefined: everything is new. */
export function diffDocuments(before: Document | undefined, after: Document): Change[] {
  return fields(SETTINGS.fields, "", { value: before, axis: "time" }, { value: after, axis: "time" });
}
