// Names of settings as people see them: document path (`windows.engineSpeed.openRpm`) to file keys (`windows.engine-speed.open`).
import { SETTINGS } from "#shared-schema/settings/settings.ts";
import { fileKey, type SettingNode } from "#shared-schema/settings/table.ts";

/** The setting below `node` that the next step of a path leads to; undefined within ramp points. */
function step(node: SettingNode, part: string): { node: SettingNode; key: string } | undefined {
  if (node.kind === "group") {
    const found = node.fields.find((field) => field.name === part);
    return found && { node: found, key: fileKey(found) };
  }
  if (node.kind !== "list" || !/^\d+$/.test(part)) return undefined;
  return { node: { ...node, kind: "group", optional: false }, key: String(Number(part) + 1) };
}

/** Path in file keys, list entries counted from 1: `stages.1.ramps.2.points.3`. */
export function fieldOf(path: string): string {
  let node: SettingNode | undefined = SETTINGS;
  const keys: string[] = [];
  for (const part of path.split(".").filter((p) => p !== "")) {
    const next: ReturnType<typeof step> = node && step(node, part);
    if (!next && /^\d+$/.test(keys.at(-1) ?? "")) break;
    keys.push(next?.key ?? String(Number(part) + 1));
    node = next?.node;
  }
  return keys.join(".");
}
