// The repository's own text files, for gates that read all of them; scratch files, builds and installed packages are not among them.
import { execFileSync } from "node:child_process";
import { existsSync, readFileSync } from "node:fs";
import { join } from "node:path";
import ts from "typescript";

export const ROOT = join(import.meta.dirname, "../..");
const BINARY = /\.(elf|uf2|wasm|png|jpg|ico|gz)$/;
const tracked = execFileSync("git", ["ls-files", "-z"], { cwd: ROOT, encoding: "utf8" });

/** Paths of all text files under version control, from the top of the repository; reference data left out. */
export const FILES: readonly string[] = tracked
  .split("\0")
  .filter((path) => path !== "" && !BINARY.test(path) && !path.startsWith("tests/reference/"))
  .filter((path) => existsSync(join(ROOT, path)))
  .sort();

/** Text of a file. */
export const textOf = (path: string): string => readFileSync(join(ROOT, path), "utf8");

export const isGenerated = (path: string): boolean => path.includes("/generated/");

/** Source files that people write. */
export const SOURCES = FILES.filter((path) => /\.(ts|c|h|S|ld)$/.test(path) && !isGenerated(path));

/** Source files outside tests. */
export const PROGRAM = SOURCES.filter((path) => !path.startsWith("tests/"));

/** Imports of a TypeScript file as written: static, dynamic and type-only. */
export function importsOf(path: string): string[] {
  return ts.preProcessFile(textOf(path), true, true).importedFiles.map((file) => file.fileName);
}

/** Declarations, methods and functions with a name of their own; not the short ones that are handed on as arguments. */
function isNamed(node: ts.Node): boolean {
  return (
    ts.isFunctionDeclaration(node) ||
    ts.isClassElement(node) ||
    (ts.isFunctionLike(node) && ts.isVariableDeclaration(node.parent))
  );
}

/** Lines of every named function of a file. */
export function functionLines(path: string): { name: string; lines: number }[] {
  const source = ts.createSourceFile(path, textOf(path), ts.ScriptTarget.ES2023, true);
  const found: { name: string; lines: number }[] = [];
  const line = (at: number): number => source.getLineAndCharacterOfPosition(at).line;
  const visit = (node: ts.Node): void => {
    if (ts.isFunctionLike(node) && "body" in node && node.body && isNamed(node)) {
      const lines = line(node.end) - line(node.getStart(source)) + 1;
      found.push({ name: `${path} ${node.name?.getText(source) ?? "(unnamed)"}`, lines });
    }
    ts.forEachChild(node, visit);
  };
  visit(source);
  return found;
}
