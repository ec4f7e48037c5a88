// Files that come with the package, found from wherever this module lies: in the sources or in the bundle.
import { existsSync } from "node:fs";
import { dirname, join } from "node:path";

/** Path of a file by its place in the package. Throws when the package is not whole. */
export function packageFile(...parts: readonly string[]): string {
  for (let folder = import.meta.dirname; ; folder = dirname(folder)) {
    if (existsSync(join(folder, "package.json"))) return join(folder, ...parts);
    if (folder === dirname(folder)) throw new Error("package.json is missing");
  }
}
