// Every test file is in one set, quick or slow, and files that share a process keep nothing that another could lean on.
import ts from "typescript";
import { describe, expect, test } from "vitest";
import { saturationAt } from "#host/plan/nitrous/saturation.ts";
import { SLOW } from "../support/slow-tests.ts";
import { SOURCES, textOf } from "./sources.ts";

const TESTS = SOURCES.filter((path) => /^tests\/.*\.test\.ts$/.test(path));
const SHARED = SOURCES.filter((path) => /^tests\/.*\.ts$/.test(path) && !/\.(test|ci|bench)\.ts$/.test(path));
const PROGRAM = SOURCES.filter((path) => /^(host|shared-schema)\/.*\.ts$/.test(path));

/** Kept from one file to the next, and harmless: computed once from what never changes, or a simulator that takes any deck. */
const KEPT_ON_PURPOSE = ["tests/circuit/spice/engine.ts: started", "host/plan/nitrous/saturation.ts: built"];
/** Parts with a process of their own. */
const OWN_PROCESS = /^tests\/(mutation|bench)\//;

function topLevel(path: string): readonly ts.Statement[] {
  return ts.createSourceFile(path, textOf(path), ts.ScriptTarget.ES2023).statements;
}

/** Variables of a module that can change. */
function changeable(path: string): string[] {
  const lists = topLevel(path).flatMap((statement) =>
    ts.isVariableStatement(statement) && !(statement.declarationList.flags & ts.NodeFlags.Const)
      ? statement.declarationList.declarations
      : [],
  );
  return lists.map(({ name }) => `${path}: ${ts.isIdentifier(name) ? name.text : "several"}`);
}

/** Does a module declare tests as soon as it is imported? A second file that imports it would get none. */
function declaresTests(path: string): boolean {
  return topLevel(path).some(
    (statement) =>
      ts.isExpressionStatement(statement) &&
      /^(describe|test)\b/.test(textOf(path).slice(statement.pos, statement.end).trim()),
  );
}

describe("sets of test files", () => {
  test("slow ones are there, named once and in order; all others are quick", () => {
    expect(SLOW.filter((path) => !TESTS.includes(path))).toEqual([]);
    expect(SLOW).toEqual([...new Set(SLOW)].sort());
    expect(TESTS.length).toBeGreaterThan(SLOW.length);
  });
});

test("a test is left out on an ordinary day alone, by what CI sets, and never for want of a tool", () => {
  const CI_ONLY = SOURCES.filter((path) => /^tests\/.*\.ci\.ts$/.test(path));
  const leftOut = [...TESTS, ...CI_ONLY].flatMap((path) => {
    const found =
      textOf(path).match(/\b(?:test|it|describe)\.(?:runIf|skipIf|skip|todo|only)\b(?:\([^)]*\))?/g) ?? [];
    return found.map((words) => `${path}: ${words}`);
  });
  expect(leftOut.filter((words) => !words.endsWith("test.runIf(ALL)"))).toEqual([]);
  expect(leftOut.length).toBeGreaterThan(0);
});

test("no test leaves itself out in another way: none that ends at once, none over an empty list, none under another name", () => {
  const OTHER_WAYS = [
    /if \(!?[\w.]*\b(?:ALL|ALL_RUNS|CI)\b[^)]*\) return;/,
    /\beach\(\(?(?:ALL|ALL_RUNS) \?[^;\n]*: \[\]\)/,
    /\b(?:ALL|ALL_RUNS) \? (?:test|it|describe)\b/,
  ];
  const found = TESTS.flatMap((path) => {
    const ways = OTHER_WAYS.map((way) => way.exec(textOf(path))?.[0]);
    return ways.flatMap((words) => (words === undefined ? [] : [`${path}: ${words}`]));
  });
  expect(found).toEqual([]);
});

test("what tests import was compiled before a run (while files are watched, it is not)", () => {
  let place = "";
  try {
    saturationAt(0);
  } catch (error) {
    place = (error as Error).stack ?? "";
  }
  expect(/headgate-tests.*saturation\.mjs/.test(place)).toBe(process.env.VITEST_MODE === "RUN");
});

describe("files that share a process", () => {
  test("declare tests in test files alone", () => {
    expect(SHARED.filter((path) => !OWN_PROCESS.test(path) && declaresTests(path))).toEqual([]);
    expect(TESTS.filter((path) => !declaresTests(path) && !/invariant-\d/.test(path))).toEqual([]);
  });

  test("share no variable that can change", () => {
    const found = [...SHARED, ...PROGRAM].filter((path) => !OWN_PROCESS.test(path)).flatMap(changeable);
    expect(found.filter((name) => !name.startsWith("tests/support/leftovers.ts"))).toEqual(KEPT_ON_PURPOSE);
  });
});
