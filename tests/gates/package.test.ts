// What `npm pack` gives away: all that runs and its docs, no tests; and an installed package brings in only what the bundle needs.
import { execFileSync } from "node:child_process";
import { copyFileSync, existsSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { buildProgram } from "#host/cli/program.ts";
import { Session } from "#host/cli/session.ts";
import project from "../../package.json" with { type: "json" };
import lock from "../../package-lock.json" with { type: "json" };
import { COMMANDS } from "../support/packed-commands.ts";
import { importsOf, PROGRAM, ROOT, textOf } from "./sources.ts";

/** What npm itself says of the packed file. Needs the bundle, which `npm ci` makes. */
interface Packed {
  readonly size: number;
  readonly bundled: readonly string[];
  readonly files: readonly { readonly path: string }[];
}

function pack(): Packed {
  const args = ["pack", "--dry-run", "--json", "--ignore-scripts"];
  const text = execFileSync("npm", args, {
    cwd: ROOT,
    encoding: "utf8",
    stdio: ["ignore", "pipe", "ignore"],
  });
  return (JSON.parse(text) as [Packed])[0];
}

const packed = pack();
const paths = packed.files.map(({ path }) => path);
/** Those of the project itself; the others belong to packages that come with it. */
const own = paths.filter((path) => !path.startsWith("node_modules/"));
const HOST = PROGRAM.filter((path) => path.startsWith("host/"));

/** Files that the program reads beside its own code: `packageFile("a", "b")`. */
function filesRead(): string[] {
  const calls = HOST.flatMap((path) => [...textOf(path).matchAll(/packageFile\(("[^)]*")\)/g)]);
  return calls.map((match) => (JSON.parse(`[${match[1]}]`) as string[]).join("/"));
}

test("the lock file marks what comes with the package, so that `npm install` leaves it as it is", () => {
  const { bundleDependencies } = lock.packages[""];
  expect(bundleDependencies).toEqual(project.bundleDependencies);
  for (const name of bundleDependencies) {
    const entry = (lock.packages as Record<string, { inBundle?: boolean }>)[`node_modules/${name}`];
    expect(entry?.inBundle).toBe(true);
  }
});

describe("the packed file", () => {
  test("holds the command line, what it reads, and the docs", () => {
    const read = filesRead();
    expect(read).toContain("firmware/image/headgate.uf2");
    expect(read).toContain("host/demo/street-coupe.yaml");
    expect(paths).toEqual(
      expect.arrayContaining([...read, "package.json", "README.md", "LICENSE", "dist/headgate.js"]),
    );
    expect(paths).toEqual(expect.arrayContaining(["docs/builder.md", "docs/pictures/save.svg"]));
  });

  test("holds no sources, no tests and nothing that is not under version control, but for the bundle", () => {
    expect(own.filter((path) => /^tests\/|\.ts$|^\./.test(path))).toEqual([]);
    const tracked = execFileSync("git", ["ls-files"], { cwd: ROOT, encoding: "utf8" }).split("\n");
    const others = own.filter((path) => !path.startsWith("dist/") && !tracked.includes(path));
    expect(others.filter((path) => existsSync(join(ROOT, path)))).toEqual([]);
  });
});

describe("carried to a machine without a network", () => {
  test("it brings every package that it needs with it, and serial bindings for the usual systems, in under 6 MB", () => {
    process.stdout.write(`packed: ${(packed.size / 1e6).toFixed(2)} MB\n`);
    expect(packed.size).toBeLessThan(6e6);
    expect(packed.bundled).toEqual(expect.arrayContaining(Object.keys(project.dependencies)));
    expect(project.bundleDependencies).toEqual(Object.keys(project.dependencies));
    const bindings = paths.filter((path) => path.endsWith(".node")).join(" ");
    for (const system of ["linux-x64", "linux-arm64", "darwin-x64+arm64", "win32-x64"])
      expect(bindings).toContain(`prebuilds/${system}/`);
  });
});

test("what is generated is compared by the same commands that write it, each told to compare", () => {
  const { generate, "generate:check": check } = project.scripts;
  expect(check.split(" && ")).toEqual(generate.split(" && ").map((command) => `${command} --check`));
  expect(textOf(".ci/run")).toContain(" npm run --silent generate:check\n");
});

test("each command of the tool stands among those that the packed file is tried with", () => {
  const nothing = { write: () => true };
  const program = buildProgram(
    new Session({ stdin: {}, stdout: nothing, stderr: nothing, env: {} } as never),
  );
  const tried = new Set(COMMANDS.map(([, name]) => name));
  expect([...tried].sort()).toEqual(program.commands.map((command) => command.name()).sort());
});

describe("an installation in a checkout without development packages", () => {
  test("builds nothing, says so, and does not fail", () => {
    const folder = mkdtempSync(join(tmpdir(), "headgate-"));
    try {
      copyFileSync(join(ROOT, "package.json"), join(folder, "package.json"));
      const said = execFileSync("npm", ["run", "prepare", "--silent"], { cwd: folder, encoding: "utf8" });
      expect(said).toContain("dist/ is not built");
    } finally {
      rmSync(folder, { recursive: true });
    }
  });
});

describe("packages that an installation needs", () => {
  const dependencies = Object.keys(project.dependencies);

  test("are those that the program uses and the bundle leaves outside", () => {
    expect(textOf("host/bundle.ts")).toContain("external: Object.keys(PROJECT.dependencies)");
    const used = new Set(HOST.flatMap(importsOf));
    const named = HOST.map(textOf).join("\n");
    for (const name of dependencies)
      expect(used.has(name) || named.includes(`resolve(\`${name}/`), name).toBe(true);
  });

  test("none serves building or tests alone", () => {
    const builders = ["typescript", "esbuild", "tsx", "vitest", "assemblyscript", "wabt", "@biomejs/biome"];
    expect(dependencies.filter((name) => builders.includes(name))).toEqual([]);
    expect(Object.keys(project.devDependencies)).toEqual(expect.arrayContaining(builders));
  });
});
