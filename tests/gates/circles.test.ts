// No circle inside a part: of files that import one another in TypeScript, or that call one another in the board layer's C.
import { dirname, join } from "node:path";
import { describe, expect, test } from "vitest";
import { circlesOf, type Graph } from "./circles.ts";
import { importsOf, PROGRAM, textOf } from "./sources.ts";

const typescript = PROGRAM.filter((path) => path.endsWith(".ts"));

/** The file that an import names; undefined for packages. */
function target(path: string, specifier: string): string | undefined {
  const plain = specifier.startsWith("#")
    ? specifier.slice(1)
    : specifier.startsWith(".")
      ? join(dirname(path), specifier)
      : undefined;
  return typescript.find((file) => file === plain || file === `${plain}.ts`);
}

const importGraph: Graph = new Map(
  typescript.map((path) => [path, importsOf(path).flatMap((specifier) => target(path, specifier) ?? [])]),
);

const cFiles = PROGRAM.filter((path) => path.startsWith("firmware/board/") && path.endsWith(".c"));

/** Functions that a C file defines for others. */
const definedIn = (path: string): string[] =>
  [...textOf(path).matchAll(/^(?!static)[a-z_][\w *()]*?\b(\w+)\([^;{]*\)\s*\{/gm)].map((match) => match[1]!);

/** Without comments, in which a file may well name another's functions. */
const codeOf = (path: string): string => textOf(path).replace(/\/\/.*$/gm, "");

const callGraph: Graph = new Map(
  cFiles.map((path) => [
    path,
    cFiles.filter(
      (other) =>
        other !== path && definedIn(other).some((name) => new RegExp(`\\b${name}\\b`).test(codeOf(path))),
    ),
  ]),
);

const arrows = (graph: Graph): number => [...graph.values()].reduce((sum, list) => sum + list.length, 0);

describe("no circle", () => {
  test("among the imports of host, schema and core", () => {
    expect(arrows(importGraph)).toBeGreaterThan(800);
    expect(circlesOf(importGraph)).toEqual([]);
  });

  test("among the calls of the board layer", () => {
    expect(arrows(callGraph)).toBeGreaterThan(25);
    expect(circlesOf(callGraph)).toEqual([]);
  });

  test("goes unseen: one more import the other way closes one", () => {
    const from = "host/cli/load/load.ts";
    const back = "host/cli/program.ts";
    const broken = new Map(importGraph).set(from, [...importGraph.get(from)!, back]);
    expect(circlesOf(broken)).toHaveLength(1);
    expect(circlesOf(broken)[0]).toEqual(expect.arrayContaining([from, back]));
  });

  test("is seen where there is none", () => {
    expect(
      circlesOf(
        new Map([
          ["a", ["b", "c"]],
          ["b", ["c"]],
          ["c", []],
        ]),
      ),
    ).toEqual([]);
    expect(
      circlesOf(
        new Map([
          ["a", ["b"]],
          ["b", ["c"]],
          ["c", ["b"]],
        ]),
      ),
    ).toEqual([["b", "c"]]);
  });
});
