// Many runs from the command line: parts join to exactly the undivided result, and what an interruption left is gone on with.
import { execFileSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import type { Run } from "#host/bench/loop/rehearse.ts";
import type { SpreadRun } from "#host/bench/loop/spread.ts";
import { USUAL_TOLERANCE } from "#host/bench/loop/tolerance.ts";
import { coreModule } from "#host/cli/bench/controllers.ts";
import { driveRuns } from "#host/cli/bench/spread-runs.ts";
import { packageFile } from "#host/cli/package-file.ts";
import { demoEntry, flashWith } from "../../../support/driven.ts";
import { ALL } from "../../../support/effort.ts";
import { World } from "../world.ts";

const SETTINGS = packageFile("host", "demo", "street-coupe.yaml");
/** The first part has one more than the other. */
const [RUNS, SECOND] = ALL ? [5, 2] : [3, 1];
const SPREAD = ["spread", SETTINGS, "--runs", String(RUNS), "--seed", "7", "--until", "eighth"];
const world = new World();
const whole = await world.run(...SPREAD, "--out", "whole.json");
const parts = [
  await world.run(...SPREAD, "--part", "1/2", "--out", "a.json"),
  await world.run(...SPREAD, "--part", "2/2", "--out", "b.json"),
];

describe("headgate spread", () => {
  test("says whose car, quantiles, trips and the worst run", () => {
    expect(whole.exit).toBe(0);
    expect(whole.stdout).toMatch(/^An invented car drives, not yours/);
    for (const words of [
      `${RUNS} of ${RUNS} runs, seed 7`,
      "median",
      "1/8 mile, s",
      "worst slip, %",
      "Worst run: number",
    ])
      expect(whole.stdout).toContain(words);
    expect(whole.stdout).not.toContain("1/4 mile, s");
  });

  test("parts join to the same report and the same bytes, in any order", async () => {
    expect(parts.map(({ exit }) => exit)).toEqual([0, 0]);
    const joined = await world.run("spread", "join", "b.json", "a.json", "--out", "joined.json");
    expect(joined.stdout).toBe(whole.stdout);
    expect(world.read("joined.json")).toBe(world.read("whole.json"));
  });

  test("goes on with a file that is not whole yet", async () => {
    const name = world.write("rest.json", world.read("a.json"));
    const again = await world.run(...SPREAD, "--out", name);
    expect(again.stdout).toBe(whole.stdout);
    expect(world.read(name)).toBe(world.read("whole.json"));
  });

  test("joins only parts of one spread, and says how much is missing", async () => {
    await world.run(
      "spread",
      SETTINGS,
      "--runs",
      "1",
      "--seed",
      "8",
      "--until",
      "eighth",
      "--out",
      "other.json",
    );
    const mixed = await world.run("spread", "join", "a.json", "other.json", "--json");
    expect(mixed.exit).toBe(65);
    expect(mixed.json()).toMatchObject({ error: { code: "bad-spread" } });
    const part = await world.run("spread", "join", "a.json");
    expect(part.stderr).toContain(`${SECOND} of ${RUNS} run`);
    const none = await world.run("spread", "join", world.write("x.json", "{}"), "--json");
    expect(none.json()).toMatchObject({ error: { code: "bad-spread" } });
  });

  test("prints a command for the worst run that a shell takes as it stands, and that drives it again", async () => {
    const own = new World();
    const name = own.write("it's mine.yaml", readFileSync(SETTINGS, "utf8"));
    const { stdout } = await own.run("spread", name, ...SPREAD.slice(2), "--noise", "0mV");
    const [, took] = /^Worst run: number \d+: ([\d.]+) s/mu.exec(stdout)!;
    const command = stdout.slice(stdout.indexOf("  headgate rehearse"));
    expect(command.split("\n").filter((line) => line.length > 80)).toEqual([]);
    const script = command.replace("headgate", "printf '%s\\n'");
    const words = execFileSync("sh", ["-c", script], { encoding: "utf8" }).trim().split("\n");
    const again = (await own.run(...words, "--json")).json() as unknown as Pick<Run, "slip">;
    expect(again.slip.eighth!.timeS.toFixed(2)).toBe(took);
  });

  test("writes the worst run as a page", async () => {
    const { exit } = await world.run(
      ...["spread", SETTINGS, "--runs", "1", "--until", "eighth", "--html", "worst.html"],
    );
    expect(exit).toBe(0);
    expect(world.read("worst.html")).toContain("Slip of the driven wheels");
  });

  test.each(["0/2", "3/2", "1", "1/x"])("refuses the part %s", async (part) => {
    expect((await world.run(...SPREAD, "--part", part)).exit).toBe(64);
  });
});

test("an interruption keeps what is done", async () => {
  const entry = demoEntry();
  const stop = new AbortController();
  const done: SpreadRun[] = [];
  const job = {
    driven: entry,
    settings: entry.settings,
    module: coreModule(),
    flash: flashWith(entry.settings).bytes,
    plan: {
      seed: 1,
      runs: 4,
      tolerance: USUAL_TOLERANCE,
      corners: false,
      until: { distanceM: 20 },
    },
  };
  const hear = (run: SpreadRun): void => {
    done.push(run);
    if (done.length === 2) stop.abort();
  };
  await driveRuns({ job, runs: [0, 1, 2, 3], workers: 1, done: hear, signal: stop.signal });
  expect(done.map(({ run }) => run)).toEqual([0, 1]);
});
