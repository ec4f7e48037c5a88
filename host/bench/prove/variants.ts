// Settings changed for one scenario, so that a single cause meets a single interlock; the original stays as it is.
import type { Document } from "#shared-schema/settings/pack.ts";

type Tree = Record<string, unknown>;

function parentOf(tree: Tree, path: string): [Tree | undefined, string] {
  const keys = path.split(".");
  const last = keys.pop()!;
  const parent = keys.reduce<Tree | undefined>((at, key) => at?.[key] as Tree | undefined, tree);
  return [parent, last];
}

/** The document without an optional part of the system and of every stage: `windows.gears` also drops `stages.N.gears`. */
export function without(path: string): (document: Document) => Document {
  return (document) => {
    const copy = structuredClone(document) as Tree;
    const [parent, last] = parentOf(copy, path);
    if (parent) delete parent[last];
    if (path.startsWith("windows.")) for (const stage of copy.stages as Tree[]) delete stage[last];
    return copy;
  };
}

/** The document with other values at some paths. */
export function withValues(values: Readonly<Record<string, number>>): (document: Document) => Document {
  return (document) => {
    const copy = structuredClone(document) as Tree;
    for (const [path, value] of Object.entries(values)) {
      const [parent, last] = parentOf(copy, path);
      if (parent) parent[last] = value;
    }
    return copy;
  };
}
