// A first document to start from, made of the examples in the table: to be edited, never loaded as it is.
import type { Document } from "#shared-schema/settings/pack.ts";
import { SETTINGS } from "#shared-schema/settings/settings.ts";
import type { SettingNode } from "#shared-schema/settings/table.ts";
import { FULL_SHARE_PERMILLE } from "#shared-schema/settings/words.ts";

/** Optional parts that a first file needs: an example stage is wet. */
const INCLUDED: readonly string[] = ["fuelSolenoid"];

function example(node: SettingNode, stages: number): unknown {
  switch (node.kind) {
    case "number":
    case "choice":
      return node.example;
    case "group":
      return node.optional && !INCLUDED.includes(node.name) ? undefined : fields(node.fields, stages);
    case "list":
      return Array.from({ length: node.name === "stages" ? stages : node.min }, () =>
        fields(node.fields, stages),
      );
    case "points":
      return [
        [0, 300],
        [1500, FULL_SHARE_PERMILLE],
      ];
  }
}

function fields(nodes: readonly SettingNode[], stages: number): Document {
  const pairs = nodes.map((node) => [node.name, example(node, stages)] as const);
  return Object.fromEntries(pairs.filter(([, value]) => value !== undefined));
}

/** A legal document with that many wet stages, 1 to 4. */
export function exampleDocument(stages = 1): Document {
  return fields(SETTINGS.fields, stages);
}
