// The module of the control core for tests: the released one, or one compiled from the sources when these were edited since.
import { existsSync, readdirSync, readFileSync, renameSync, rmSync } from "node:fs";
import { dirname, join } from "node:path";
import { hashOfCore } from "#firmware/build/core-sources.ts";

/** Top of the repository. */
export const ROOT = join(import.meta.dirname, "../..");
const RELEASED = "firmware/image/core.wasm";
const CACHE = "node_modules/.cache/headgate-core";
const NOT_COMPILED = `firmware/core was edited since ${RELEASED} was built, and the edited core has not been compiled yet.
Run the tests anew: they compile it at their start. \`npm run core\` does it for the tests of the core alone.`;

interface Manifest {
  readonly coreSources: string;
}

/** Where the module for the sources as they are lies, or would lie. `root` is the top of the repository. */
function placeOf(root: string): string {
  const manifest = JSON.parse(readFileSync(join(root, "firmware/image/manifest.json"), "utf8")) as Manifest;
  const hash = hashOfCore(root);
  return join(root, hash === manifest.coreSources ? RELEASED : `${CACHE}/${hash}.wasm`);
}

/** Path of the module for the sources as they are. Throws when it has not been compiled yet. */
export function coreModuleFile(root = ROOT): string {
  const file = placeOf(root);
  if (!existsSync(file)) throw new Error(NOT_COMPILED);
  return file;
}

/** Modules of earlier edits are no longer wanted. */
function forgetOlder(folder: string): void {
  for (const name of existsSync(folder) ? readdirSync(folder) : [])
    if (name.endsWith(".wasm")) rmSync(join(folder, name));
}

/** Compiles the core when its sources were edited and it is not compiled yet. Returns true when it did. Takes some seconds. */
export async function compileEditedCore(root = ROOT): Promise<boolean> {
  const file = placeOf(root);
  if (existsSync(file)) return false;
  const { compileCore } = await import("#firmware/build/core.ts");
  const { CORE_ENTRY } = await import("#firmware/build/sources.ts");
  const unfinished = `${file}.${process.pid}`;
  await compileCore(root, CORE_ENTRY, unfinished);
  forgetOlder(dirname(file));
  renameSync(unfinished, file);
  return true;
}
