// A source that is to run from another folder, yet finds its files where it stands.
import { readFileSync } from "node:fs";
import { dirname } from "node:path";
import { pathToFileURL } from "node:url";

/** Text of the source at an absolute path, with its own address written out in place of `import.meta.url` and `.dirname`. */
export function sourceWithPlace(path: string): string {
  return readFileSync(path, "utf8")
    .replace(/(?<!")\bimport\.meta\.url\b/g, JSON.stringify(pathToFileURL(path).href))
    .replace(/(?<!")\bimport\.meta\.dirname\b/g, JSON.stringify(dirname(path)));
}
