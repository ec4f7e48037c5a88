// One file carried to another machine: `npm pack`, an installation with no network and an empty cache, and every command run there.
import { execFileSync, spawn, spawnSync } from "node:child_process";
import { mkdirSync, mkdtempSync, readdirSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, test } from "vitest";

const ROOT = join(import.meta.dirname, "../..");
const LONGEST_MS = 120_000;
/** A place where nothing listens: whoever asks the network for anything fails. */
const NOWHERE = "http://127.0.0.1:9";

/** Each command with arguments, and the exit code that it must end with when there is no controller and no port. */
const COMMANDS: readonly (readonly [number, ...string[]])[] = [
  [0, "plan", "node_modules/headgate/host/demo/street-coupe-car.yaml", "--settings", "planned.yaml"],
  [0, "new", "my.yaml", "--preset", "demo"],
  [0, "check", "my.yaml"],
  [69, "load", "my.yaml", "--yes"],
  [69, "undo", "--yes"],
  [0, "history"],
  [69, "read"],
  [1, "diff", "my.yaml", "planned.yaml"],
  [69, "status"],
  [69, "watch"],
  [69, "runs"],
  [69, "pull", "1", "--out", "run.csv"],
  [69, "erase", "--yes"],
  [69, "replay", "1"],
  [69, "flash", "--dry-run"],
  [0, "ports"],
  [69, "doctor", "--seconds", "1"],
  [0, "board", "--seconds", "1"],
  [0, "rehearse", "my.yaml", "--until", "3s"],
  [0, "spread", "my.yaml", "--runs", "2", "--until", "eighth", "--workers", "1"],
  [0, "prove", "--only", "ARM", "--workers", "1"],
  [0, "explain", "no-port"],
  [0, "completion", "bash"],
  [0, "help", "practice"],
];

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
    const args = ["pack", "--ignore-scripts", "--pack-destination", folder];
    execFileSync("npm", args, { cwd: ROOT, stdio: "ignore" });
    const [file] = readdirSync(folder).filter((name) => name.endsWith(".tgz"));
    mkdirSync(env.npm_config_cache);
    const install = ["install", "--offline", "--no-audit", "--no-fund", join(folder, file!)];
    execFileSync("npm", install, { cwd: folder, env, stdio: "ignore", timeout: LONGEST_MS });
  }, LONGEST_MS);
  afterAll(() => rmSync(folder, { recursive: true, force: true }));

  test("every command of the help is tried here", () => {
    const { said } = run("--help");
    const names = [...said.matchAll(/^ {2}([a-z]+)(?= |$)/gm)].map((match) => match[1]!);
    expect(names.length).toBeGreaterThan(20);
    expect([...new Set(COMMANDS.map(([, name]) => name))].sort()).toEqual([...new Set(names)].sort());
  });

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
