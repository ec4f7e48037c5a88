// The repository speaks of the project alone, every source file says in its first sentence what it is, and sizes stay small.
import { existsSync } from "node:fs";
import { dirname, join } from "node:path";
import { describe, expect, test } from "vitest";
import { FILES, functionLines, isGenerated, PROGRAM, ROOT, SOURCES, textOf } from "./sources.ts";

/** Written in pieces, so that this file does not find itself. */
const FORBIDDEN: readonly (readonly [string, RegExp])[] = [
  ["a folder of some machine", /(?<![\w.])\/(?:work|home|Users|root)\/\w/],
  ["a path out of the repository", /\.\.\/shared(?!-)/],
  [
    "a host of a package registry",
    new RegExp(["registry\\.", "(npmjs|yarnpkg)|proxy\\.gol", "ang"].join("")),
  ],
  ["a number of an issue", /\bissues? #?\d+\b|\bgh-\d+\b/i],
  [
    "words about who writes it",
    new RegExp(["\\b(sub", "agent|lang", "uage model|LL", "M|chat", "bot)s?\\b"].join("")),
  ],
  ["work that is left over", new RegExp(["\\b(TO", "DO|FIX", "ME|XX", "X)\\b"].join(""))],
];

describe("no text speaks of", () => {
  test.each(FORBIDDEN)("%s", (_, pattern) => {
    const wrong = FILES.filter((path) => path !== "package-lock.json").flatMap((path) =>
      textOf(path)
        .split("\n")
        .map((line, i) => `${path}:${i + 1} ${line.trim().slice(0, 80)}`)
        .filter((line) => pattern.test(line.slice(line.indexOf(" ")))),
    );
    expect(wrong).toEqual([]);
  });

  test("a machine or an address in the lock file", () => {
    const { packages } = JSON.parse(textOf("package-lock.json")) as { packages: Record<string, object> };
    expect(Object.keys(packages).length).toBeGreaterThan(50);
    expect(Object.keys(packages).filter((name) => "resolved" in packages[name]!)).toEqual([]);
  });
});

describe("Markdown", () => {
  const pages = FILES.filter((path) => path.endsWith(".md"));

  test("links to files that are there", () => {
    const broken = pages.flatMap((page) =>
      [...textOf(page).matchAll(/\]\((?!https?:|#)([^)#\s]+)[^)]*\)/g)]
        .map((match) => join(dirname(page), match[1]!))
        .filter((target) => !existsSync(join(ROOT, target)))
        .map((target) => `${page}: ${target}`),
    );
    expect(broken).toEqual([]);
  });

  test("of design, mends and developers names files that are there", () => {
    const named = ["DEVELOPERS.md", "docs/design.md", "docs/mends.md"].flatMap((page) =>
      [
        ...textOf(page).matchAll(/`((?:shared-schema|firmware|host|tests|docs|hardware-notes)\/[\w./-]*)`/g),
      ].map((match) => `${page}: ${match[1]}`),
    );
    expect(named.length).toBeGreaterThan(90);
    expect(named.filter((line) => !existsSync(join(ROOT, line.split(": ")[1]!)))).toEqual([]);
  });

  test("decisions have all four parts, and stay short", () => {
    const decisions = pages.filter((path) => /^docs\/decisions\/\d/.test(path));
    expect(decisions.length).toBeGreaterThan(15);
    for (const path of decisions) {
      const number = path.split("/").at(-1)!.slice(0, 4);
      expect(path).toMatch(/\/\d{4}-[a-z0-9-]+\.md$/);
      expect(textOf(path)).toMatch(new RegExp(`^# ${number} \\S`));
      const parts = [...textOf(path).matchAll(/^## (.*)$/gm)].map((match) => match[1]);
      expect(parts, path).toEqual(["Context", "Decision", "Why", "Consequences"]);
      expect(textOf(path).split("\n").length, path).toBeLessThan(60);
    }
  });

  test("decisions are listed without a gap in docs/decisions/README.md: number, title, date, status", () => {
    const rows = textOf("docs/decisions/README.md")
      .split("\n")
      .filter((line) => /^\| \[?\d/.test(line));
    const cells = rows.map((row) =>
      row
        .split("|")
        .slice(1, -1)
        .map((cell) => cell.trim()),
    );
    const numbered = cells.map((_, i) => String(i + 1).padStart(4, "0"));
    expect(cells.map(([number]) => /\d{4}/.exec(number!)?.[0])).toEqual(numbered);
    for (const [, , date, status] of cells) {
      expect(date).toMatch(/^20\d\d-\d\d-\d\d$/);
      expect(status).toMatch(/^(accepted|(joined into|superseded by) \d{4})$/);
    }
    const listed = cells
      .filter(([, , , status]) => !status!.startsWith("joined"))
      .map(([link, title]) => `${link} ${title}`);
    const records = pages
      .filter((path) => /^docs\/decisions\/\d/.test(path))
      .map((path) => {
        const name = path.split("/").at(-1)!;
        return `[${name.slice(0, 4)}](${name}) ${textOf(path).split("\n")[0]!.slice("# 0000 ".length)}`;
      });
    expect(records).toEqual(listed);
    for (const [, , , status] of cells) {
      const other = /\d{4}/.exec(status!)?.[0];
      if (other)
        expect(
          records.some((record) => record.startsWith(`[${other}]`)),
          status,
        ).toBe(true);
    }
  });
});

/** The first sentence of a comment at the top of a file, without its marks. */
function head(text: string): string {
  const plain = text.replace(/^#!.*\n/, "");
  const comment = /^(?:\/\/.*\n|\/\*[\s\S]*?\*\/)/.exec(plain)?.[0] ?? "";
  return comment.replace(/^\/\*+|\*\/|^\/\/|^\s*\*/gm, " ").trim();
}

describe("every source file", () => {
  test("begins with a sentence that says what it is", () => {
    const silent = SOURCES.filter((path) => !/^\S+(\s+\S+){3}/.test(head(textOf(path))));
    expect(silent).toEqual([]);
  });

  test("has no banner", () => {
    expect(SOURCES.filter((path) => /^\s*(\/\/|\*|\/\*)\s*[-=*#]{4,}/m.test(textOf(path)))).toEqual([]);
  });
});

/** Value below which a share of the numbers lies. */
function quantile(numbers: readonly number[], share: number): number {
  return [...numbers].sort((a, b) => a - b)[Math.floor(share * (numbers.length - 1))] ?? 0;
}

function report(what: string, sizes: readonly { name: string; lines: number }[]): void {
  const lines = sizes.map((size) => size.lines);
  const largest = [...sizes].sort((a, b) => b.lines - a.lines).slice(0, 5);
  process.stdout.write(
    `${what}: ${sizes.length}, lines: median ${quantile(lines, 0.5)}, nine in ten up to ${quantile(lines, 0.9)}; largest:\n` +
      largest.map(({ name, lines: count }) => `  ${String(count).padStart(4)} ${name}\n`).join(""),
  );
}

describe("sizes", () => {
  const files = SOURCES.map((name) => ({ name, lines: textOf(name).split("\n").length - 1 }));
  const functions = PROGRAM.filter((path) => path.endsWith(".ts")).flatMap(functionLines);

  test("files: none over 300 lines, nine in ten under 200, half under 100", () => {
    report("files", files);
    expect(files.filter(({ lines }) => lines > 300).map(({ name }) => name)).toEqual([]);
    const lines = files.map((file) => file.lines);
    expect(quantile(lines, 0.9)).toBeLessThan(200);
    expect(quantile(lines, 0.5)).toBeLessThan(100);
  });

  test("functions of the program: none over 80 lines, nine in ten under 40, half under 10", () => {
    report("functions", functions);
    expect(functions.length).toBeGreaterThan(500);
    expect(functions.filter(({ lines }) => lines > 80).map(({ name }) => name)).toEqual([]);
    const lines = functions.map((each) => each.lines);
    expect(quantile(lines, 0.9)).toBeLessThan(40);
    expect(quantile(lines, 0.5)).toBeLessThan(10);
  });

  test("generated files are told apart", () => {
    expect(SOURCES.some(isGenerated)).toBe(false);
    expect(FILES.some(isGenerated)).toBe(true);
  });
});
