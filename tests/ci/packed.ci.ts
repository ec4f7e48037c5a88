// One file carried to another machine: `npm pack`, an installation with no network and an empty cache, and every command run there.
import { execFileSync, spawn, spawnSync } from "node:child_process";
import { cpSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import project from "../../package.json" with { type: "json" };
import { COMMANDS } from "../support/packed-commands.ts";

const ROOT = join(import.meta.dirname, "../..");
const LONGEST_MS = 120_000;
/** A place where nothing listens: whoever asks the network for anything fails. */
const NOWHERE = "http://127.0.0.1:9";

/** Packages that come along, with all that they need in turn. */
function bundled(names: readonly string[], found = new Set<string>()): Set<string> {
  for (const name of names.filter((one) => !found.has(one))) {
    found.add(name);
    const file = join(ROOT, "node_modules", name, "package.json");
    const { dependencies = {} } = JSON.parse(readFileSync(file, "utf8")) as { dependencies?: object };
    bundled(Object.keys(dependencies), found);
  }
  return found;
}

/** A folder as a fresh checkout has it after `npm ci`, the bundle made from the sources as they are now. */
function stage(folder: string): void {
  const others = project.files.filter((name) => name !== "dist");
  for (const name of ["package.json", "README.md", "LICENSE", ...others])
    cpSync(join(ROOT, name), join(folder, name), { recursive: true });
  for (const name of bundled(project.bundleDependencies))
    cpSync(join(ROOT, "node_modules", name), join(folder, "node_modules", name), { recursive: true });
  const bundle = ["node_modules/tsx/dist/cli.mjs", "host/bundle.ts", join(folder, "dist")];
  execFileSync(process.execPath, bundle, { cwd: ROOT });
}

describe("the packed file", { timeout: 3 * LONGEST_MS }, () => {
  const folder = mkdtempSync(join(tmpdir(), "headgate-test-"));
  const env = {
    PATH: process.env.PATH,
    HOME: folder,
    HEADGATE_DATA: join(folder, "data"),
    npm_config_cache: join(folder, "cache"),
    npm_config_registry: NOWHERE,
    HTTP_PROXY: NOWHERE,
    HTTPS_PROXY: NOWHERE,
  };
  const headgate = join(folder, "node_modules/.bin/headgate");

  /** Runs the installed tool; its exit code with all that it said. */
  function run(...args: string[]): { exit: number | null; said: string } {
    const { status, stdout, stderr } = spawnSync(headgate, args, {
      cwd: folder,
      env,
      encoding: "utf8",
      timeout: LONGEST_MS,
      stdio: ["ignore", "pipe", "pipe"],
    });
    return { exit: status, said: `${stdout}${stderr}` };
  }

  beforeAll(() => {
    const staged = join(folder, "stage");
    stage(staged);
    const args = ["pack", "--ignore-scripts", "--pack-destination", folder];
    execFileSync("npm", args, { cwd: staged, stdio: "ignore" });
    rmSync(staged, { recursive: true });
    const [file] = readdirSync(folder).filter((name) => name.endsWith(".tgz"));
    mkdirSync(env.npm_config_cache);
    const install = ["install", "--offline", "--no-audit", "--no-fund", join(folder, file!)];
    execFileSync("npm", install, { cwd: folder, env, stdio: "ignore", timeout: LONGEST_MS });
  }, LONGEST_MS);
  afterAll(() => rmSync(folder, { recursive: true, force: true }));

  test.each(COMMANDS)("exit %i: headgate %s", (exit, ...args) => {
    expect(run(...args.map(String))).toMatchObject({ exit });
  });

  test("the serial binding that came with it opens a port, and settings are loaded through it", async () => {
    const board = spawn(headgate, ["board"], { cwd: folder, env, stdio: ["ignore", "pipe", "pipe"] });
    const ended = new Promise((resolve) => board.once("exit", resolve));
    try {
      await new Promise((resolve) => board.stdout.once("data", resolve));
      expect(run("load", "my.yaml", "--yes", "--port", "practice").said).toContain("LOADED");
    } finally {
      board.kill("SIGTERM");
      await ended;
    }
  });
});
