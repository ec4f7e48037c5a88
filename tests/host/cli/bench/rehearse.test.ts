// The main job from the command line: settings into the released image on the emulated board, one run of a car, what everything did.
import { existsSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import type { Findings } from "#host/bench/findings.ts";
import type { Run } from "#host/bench/loop/rehearse.ts";
import { packageFile } from "#host/cli/package-file.ts";
import { ALL } from "../../../support/effort.ts";
import { TWELVE_CARS } from "../../plan/twelve-cars.ts";
import { World } from "../world.ts";

/** The whole launch on the board in CI; agreement.test.ts drives it beside the core on any day. */
const ON = ALL ? ["--board"] : [];
const world = new World();
/** The same launch as text. */
const plain = await new World().run("rehearse", "--html", "run.html");
const ran = await world.run("rehearse", ...ON, "--json", "--html", "run.html");
type Data = Findings & Pick<Run, "slip" | "spin" | "trips" | "held">;
const document = ran.json() as unknown as Data & { ok: boolean; page: string; hash: string };

/** The demo's 300 %/s over the two periods of a pattern at its 20 Hz, and over the two turns of 4 ms by which two may see more of it. */
const RISE_PER_PATTERN = 3 * (2 / 20 + 2 * 0.004);
const PART_OF_A_STEP = 0.005;

describe("headgate rehearse", () => {
  test("ends with yes and one document", () => {
    expect(ran.exit).toBe(0);
    expect(document.ok).toBe(true);
    expect(document.stages).toHaveLength(3);
  });

  test("no stage ever flows more than its ramp asks, but for the last step that a valve cannot make", () => {
    for (const flow of document.stages.flat())
      for (const { share, table } of flow.points) {
        if (share < 1) expect(share).toBeLessThanOrEqual(table + PART_OF_A_STEP);
        else expect(table).toBeGreaterThan(0.8);
      }
  });

  test("both valves of a wet stage let through the same share, but for the shift of the period that is cut off by the window", () => {
    const points = document.stages.flat().flatMap((flow) => flow.points);
    expect(points.some((p) => p.made === "pattern")).toBe(true);
    for (const { share, fuel } of points) expect(share).toBeLessThanOrEqual(fuel! + 0.02);
  });

  test("shares rise no faster than the rise limit until a valve stays open", () => {
    for (const flow of document.stages.flat()) {
      const pulsed = flow.points.filter((p) => p.share < 1);
      pulsed.slice(1).forEach((p, i) => {
        expect(p.share - pulsed[i]!.share).toBeLessThanOrEqual(RISE_PER_PATTERN + PART_OF_A_STEP);
      });
    }
  });

  test("every stage flows fully when the arm switch goes off", () => {
    const last = document.stages.map((flows) => flows.at(-1)!.points.at(-1)!);
    expect(last.map(({ made }) => made)).toEqual(["open", "open", "open"]);
  });

  test("everything shuts within the times of the interlock table", () => {
    const [disarm] = document.shuts;
    expect(disarm?.flowing).toEqual([1, 2, 3]);
    expect(disarm?.pinsUs).toBeLessThan(10);
    expect(disarm?.relayMs).toBeLessThan(20);
  });

  test("gives the time slip, the slip of the wheels and what held off", () => {
    const { slip, spin, trips, held } = document;
    expect(slip.quarter!.timeS).toBeGreaterThan(slip.eighth!.timeS);
    expect(slip.eighth!.timeS).toBeGreaterThan(slip.sixtyFeet!.timeS);
    expect(spin.worst).toBeGreaterThan(0);
    expect(trips).toEqual([]);
    expect(held.map(({ id }) => id)).toContain("WOT");
    expect(plain.stdout).toContain("1/4 mile");
  });

  test.runIf(ALL)(
    "the core alone says the same as the released image, to a hundredth of a second",
    async () => {
      const core = (await new World().run("rehearse", "--json")).json() as unknown as typeof document;
      expect(Math.abs(core.slip.quarter!.timeS - document.slip.quarter!.timeS)).toBeLessThan(0.01);
    },
  );

  test("writes one page that needs nothing else", () => {
    const page = world.read("run.html");
    expect(existsSync(join(world.folder, "run.html"))).toBe(true);
    expect(page).toContain(document.hash);
    expect(page).not.toMatch(/(?:src|href)="(?!#)/);
    expect(page).toContain("licensed practitioner");
  });

  test("keeps to 80 columns on a terminal", () => {
    const long = plain.stdout.split("\n").filter((line) => line.length > 80 && !line.includes("file://"));
    expect(long).toEqual([]);
  });

  test("says in its first line whose car it drives", () => {
    const [first] = plain.stdout.split("\n");
    expect(first).toMatch(/^An invented car drives, not yours/);
    expect(world.read("run.html")).toContain("An invented car drives, not yours");
    expect(ran.json()).toMatchObject({ car: { invented: true } });
  });

  test("a page that cannot be written is noticed before anything is driven", async () => {
    const missing = await new World().run("rehearse", "--html", "no/such/folder/run.html", "--json");
    expect(missing.json()).toMatchObject({ error: { code: "no-file" } });
    expect(missing.stderr).not.toContain("emulated board");
  });

  test("says no when nothing flows: a bottle far under its window", async () => {
    const shy = new World();
    const { exit, stdout: said } = await shy.run(
      "rehearse",
      "--board",
      "--bottle",
      "500psi",
      "--until",
      "1s",
    );
    expect(exit).toBe(1);
    expect(said).toContain("did not flow");
    expect(said).toContain("BOTTLE-LOW");
    expect(said.match(/: nothing was flowing/g)).toHaveLength(2);
    expect(said).not.toMatch(/pins low after/);
    expect(said.split("\n").filter((line) => line.length > 80 && !line.includes("file://"))).toEqual([]);
  });

  test("settings whose shares are all 0, as `learn` writes them, are rehearsed, and it says why nothing flows", async () => {
    const shut = new World();
    const [demo, car] = ["street-coupe.yaml", "street-coupe-car.yaml"].map((n) =>
      packageFile("host", "demo", n),
    );
    await shut.run("learn", car!, "--settings", demo!, "--baseline", "shut.yaml");
    const { exit, stdout: said } = await shut.run("rehearse", "shut.yaml", "--until", "3s");
    expect(exit).toBe(0);
    expect(said.replace(/\s+/gu, " ")).toContain("every share in the settings is 0, so that no valve moves");
    expect(shut.read("headgate-run.html")).toContain("Nothing flowed, as every share is 0.");
  });

  test("a car file drives that car, and says what its plan promised", async () => {
    const own = new World();
    const car = own.write("car.yaml", TWELVE_CARS[4]!.text);
    const written = await own.run("plan", car, "--settings", "own.yaml");
    expect(written.exit).toBe(0);
    const { stdout } = await own.run("rehearse", "own.yaml", "--car", car, "--until", "eighth");
    expect(stdout).toMatch(/^Your car drives, as its file says/);
    expect(stdout).toMatch(/1\/8 mile +\d/);
    expect(stdout).toMatch(/1\/4 mile +not reached/);
  });

  test("says that the driver lifts: such a run is not as planned", async () => {
    const lifted = await new World().run("rehearse", "--lift", "0.5s", "--until", "1s");
    expect(lifted.stdout).toContain("a lift 0.50 s after the launch switch");
    expect(lifted.stdout).not.toContain("as planned");
  });

  test.each([
    ["--grip", "85"],
    ["--late", "3 psi"],
    ["--until", "half"],
    ["--bottle", "1 psi"],
    ["--bottle", "60 bar absolute"],
  ])("refuses %s %s as a usage mistake", async (option, value) => {
    expect((await new World().run("rehearse", option, value)).exit).toBe(64);
  });
});
