// A first document to start from, made of the examples in the table: to be edited, never loaded as it is.
import { unhandled } from "#shared-schema/model/unhandled.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import { SETTINGS } from "#shared-schema/settings/settings.ts";
import type { SettingNode } from "#shared-schema/settings/table.ts";
import { FULL_SHARE_PERMILLE } from "#shared-schema/settings/words.ts";

/** Groups that a careful builder fits, as document paths. Leaving one out brings a caution of its own (settings-cautions.ts). */
export const PROTECTIONS: readonly string[] = [
  "engine.jump",
  "throttle.position",
  "bottle",
  "fuel",
  "clamps",
];

/** An example stage is wet, so it needs its fuel solenoid. */
const NEEDED = "fuelSolenoid";

/** Rows of a table must rise. */
const TABLE = "table";

/** A row of a table of which the last is the whole example, at full flow. */
const risingTo = (row: Document, share: number): Document =>
  Object.fromEntries(
    Object.entries(row).map(([name, value]) => [
      name,
      Math.round(share * (name === "flowPermille" ? FULL_SHARE_PERMILLE : (value as number))),
    ]),
  );

/** Builds the example with the optional groups wanted. */
class Example {
  private readonly stages: number;
  private readonly groups: readonly string[];

  constructor(stages: number, groups: readonly string[]) {
    this.stages = stages;
    this.groups = groups;
  }

  private value(node: SettingNode, path: string): unknown {
    switch (node.kind) {
      case "number":
      case "choice":
        return node.example;
      case "group": {
        const left = node.optional && node.name !== NEEDED && !this.groups.includes(path);
        return left ? undefined : this.fields(node.fields, `${path}.`);
      }
      case "list":
        return this.items(node, path);
      case "points":
        return [
          [0, 300],
          [1500, FULL_SHARE_PERMILLE],
        ];
      default:
        return unhandled(node);
    }
  }

  private items(node: Extract<SettingNode, { kind: "list" }>, path: string): Document[] {
    const count = node.name === "stages" ? this.stages : node.min;
    const alike = Array.from({ length: count }, () => this.fields(node.fields, `${path}.N.`));
    return node.name === TABLE ? alike.map((row, i) => risingTo(row, i / (count - 1))) : alike;
  }

  fields(nodes: readonly SettingNode[], at: string): Document {
    const pairs = nodes.map((node) => [node.name, this.value(node, `${at}${node.name}`)] as const);
    return Object.fromEntries(pairs.filter(([, value]) => value !== undefined));
  }
}

/** A legal document with that many wet stages, 1 to 4, and those optional groups; by default with none. */
export function exampleDocument(stages = 1, groups: readonly string[] = []): Document {
  return new Example(stages, groups).fields(SETTINGS.fields, "");
}
