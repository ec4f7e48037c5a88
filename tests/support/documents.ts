// Settings documents for tests: a right one made from the table's examples, and random and boundary changes of it.
import type { Document } from "#shared-schema/settings/pack.ts";
import { SETTINGS } from "#shared-schema/settings/settings.ts";
import type { SettingNode } from "#shared-schema/settings/table.ts";
import type { Random } from "./random.ts";

type Tree = { [key: string]: unknown };

function example(node: SettingNode, everything: boolean): unknown {
  if (node.kind === "number" || node.kind === "choice") return node.example;
  if (node.kind === "points")
    return [
      [0, 200],
      [500, 600],
      [1200, 1000],
    ];
  if (node.kind === "list") return Array.from({ length: node.max }, () => fields(node.fields, everything));
  return node.optional && !everything ? undefined : fields(node.fields, everything);
}

function fields(nodes: readonly SettingNode[], everything: boolean): Tree {
  const pairs = nodes.map((node) => [node.name, example(node, everything)] as const);
  return Object.fromEntries(pairs.filter(([, value]) => value !== undefined));
}

/** A right document: four stages, every optional part there but those that exclude each other. */
export function fullDocument(): Tree {
  const document = fields(SETTINGS.fields, true);
  const stages = document.stages as Tree[];
  stages.forEach((stage, s) => {
    stage.kind = s === 3 ? "dry" : "wet";
    if (s === 3) delete stage.fuelSolenoid;
    (stage.ramps as Tree[])[1]!.over = ["launch", "engine-speed", "road-speed", "manifold"][s];
  });
  (document.gearbox as Tree).gears = [1000, 640, 450, 340].map((ratioDeciRpmPerKmh) => ({
    ratioDeciRpmPerKmh,
  }));
  (document.retard as Tree).table = [0, 500, 1000].map((flow) => ({
    flowPermille: flow,
    angleDeciDeg: flow / 10,
  }));
  return document;
}

/** The smallest right document: one wet stage, the throttle switch, nothing optional. */
export function smallDocument(): Tree {
  const document = fields(SETTINGS.fields, false);
  const first = (document.stages as Tree[])[0]!;
  const { fuelSolenoid } = (fullDocument().stages as Tree[])[0]!;
  const stage = { ...first, fuelSolenoid, ramps: (first.ramps as Tree[]).slice(0, 1) };
  return { ...document, stages: [stage] };
}

function randomNumber(random: Random, min: number, max: number): number {
  const kind = random.below(8);
  if (kind < 4) return random.between(min, max);
  return Math.min(65535, Math.max(0, random.pick([min, max, min - 1, max + 1, 0, 65535, min + 1, max - 1])));
}

function change(random: Random, node: SettingNode, tree: Tree): void {
  const value = tree[node.name];
  if (node.kind === "number") tree[node.name] = randomNumber(random, node.min, node.max);
  else if (node.kind === "choice") tree[node.name] = random.pick(node.options);
  else if (node.kind === "points") tree[node.name] = changedPoints(random, value as number[][]);
  else if (node.kind === "list") changeList(random, node, tree);
  else if (node.optional && random.oneIn(3)) toggle(node, tree);
  else if (value !== undefined) change(random, random.pick(node.fields), value as Tree);
}

function toggle(node: SettingNode, tree: Tree): void {
  if (tree[node.name] === undefined) tree[node.name] = example(node, true);
  else delete tree[node.name];
}

function changeList(random: Random, node: Extract<SettingNode, { kind: "list" }>, tree: Tree): void {
  const list = tree[node.name] as Tree[];
  if (random.oneIn(8)) tree[node.name] = list.slice(0, random.below(list.length + 1));
  else if (list.length > 0) change(random, random.pick(node.fields), random.pick(list));
}

function changedPoints(random: Random, points: number[][]): number[][] {
  const copy = points.map((p) => [...p]);
  const kind = random.below(4);
  if (kind === 0) return copy.slice(0, random.below(copy.length + 1));
  if (kind === 1 && copy.length < 12)
    return [...copy, [randomNumber(random, 0, 60000), randomNumber(random, 0, 1000)]];
  const at = random.pick(copy.length > 0 ? copy : [[0, 0]]);
  at[random.below(2)] = randomNumber(random, 0, 1000);
  return copy;
}

/** A document with `changes` random changes of a right one. Its form is right: it can be packed. */
export function randomDocument(random: Random, changes: number): Document {
  const document = structuredClone(random.oneIn(4) ? smallDocument() : fullDocument());
  for (let i = 0; i < changes; i++) change(random, SETTINGS, { settings: document });
  return document;
}
