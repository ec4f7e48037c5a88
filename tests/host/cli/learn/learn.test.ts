// `headgate learn` from run files to the car file: what it prints, what it writes and with what origin, and what it refuses.
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { shutSettings } from "#host/learn/baseline.ts";
import { runFileBytes } from "#host/logbook/run-file/run-file.ts";
import { loadCar } from "#host/plan/input/resolve.ts";
import { settingsBytes } from "#host/settings/hash.ts";
import { formatSettings } from "#host/settings/write.ts";
import { FINGERPRINT } from "#shared-schema/generated/fingerprint.ts";
import { plannedEntry } from "../../../support/driven.ts";
import { ALL } from "../../../support/effort.ts";
import { type Hidden, hiddenRun } from "../../../support/hidden-car.ts";
import { World } from "../world.ts";

const CAR = readFileSync("host/demo/street-coupe-car.yaml", "utf8");
const entry = plannedEntry(CAR);
const world = new World();
const put = (name: string, content: string | Uint8Array): void =>
  writeFileSync(join(world.folder, name), content);

async function record(name: string, hidden: Hidden, isShut: boolean): Promise<void> {
  const settings = isShut ? shutSettings(entry.settings) : entry.settings;
  const { pages } = await hiddenRun(entry, settings, hidden);
  put(name, runFileBytes({ pages, settings: { fingerprint: FINGERPRINT, block: settingsBytes(settings) } }));
}

const STRONG: Hidden = { engine: 1.1, nitrous: 1.1 };
await record("shut.hgrun", STRONG, true);
await record("open.hgrun", STRONG, false);
put("settings.yaml", formatSettings(entry.settings));
put("car.yaml", `# the demo's, with a note of mine\n${CAR}`);

interface Told {
  readonly findings: readonly { quantity: string; told: boolean; factor?: number; why?: string }[];
  readonly changes: readonly { key: string }[];
  readonly former: string | null;
}

describe("headgate learn", () => {
  test("says what each quantity is, from what, and writes nothing", async () => {
    const before = world.read("car.yaml");
    const ran = await world.run("learn", "car.yaml", "shut.hgrun", "open.hgrun");
    expect(ran.exit).toBe(0);
    for (const words of [
      /engine power +23[01]\.\d kW/,
      /nitrous power +12\d\.\d kW/,
      /shut\.hgrun: .* records between/s,
      /goes into car\.yaml with --write:/,
      /engine\.power: 210 kW -> 23[01]\.?\d* kW/,
      /asks for no more flow than the one before/,
      /not told: the wheels never slipped/,
    ])
      expect(ran.stdout).toMatch(words);
    expect(world.read("car.yaml")).toBe(before);
  });

  test("--write puts it into the file with its origin, and keeps the former text", async () => {
    const before = world.read("car.yaml");
    const told = (
      await world.run("learn", "car.yaml", "shut.hgrun", "open.hgrun", "--write", "--json")
    ).json() as unknown as Told;
    const after = world.read("car.yaml");
    expect(told.changes.map(({ key }) => key)).toEqual([
      "goal.parts",
      "goal.ramp",
      "engine.power",
      "goal.added-power",
      "nitrous.efficiency",
    ]);
    expect(world.read(told.former!)).toBe(before);
    expect(after).toContain("# the demo's, with a note of mine");
    expect(after).toMatch(
      /learned:\n {2}- \{ on: \d{4}-\d\d-\d\d, raised: no, runs: \["shut\.hgrun \(1-[0-9a-f]{8}\)"/,
    );
    expect(loadCar(after).ok).toBe(true);
  });

  test.runIf(ALL)("what is learnt of the car.yaml it wrote is nothing new", async () => {
    const told = (
      await world.run("learn", "car.yaml", "shut.hgrun", "open.hgrun", "--json")
    ).json() as unknown as Told;
    for (const { factor } of told.findings.filter(({ quantity }) => /engine|nitrous/.test(quantity)))
      expect(factor).toBeCloseTo(1, 2);
  });

  test("--baseline writes settings in which every share is 0, of a run or of a file", async () => {
    const ran = await world.run("learn", "car.yaml", "--baseline", "b.yaml", "--settings", "settings.yaml");
    expect(ran.exit).toBe(0);
    expect(ran.stdout).toContain("shut the bottle");
    const same = formatSettings(shutSettings(entry.settings)).replace(/^#.*\n/gm, "");
    expect(world.read("b.yaml").replace(/^(#|name:).*\n/gm, "")).toBe(same);
    const again = await world.run(
      "learn",
      "car.yaml",
      "--baseline",
      "b.yaml",
      "--settings",
      "settings.yaml",
      "--json",
    );
    expect(again.json()).toMatchObject({ error: { code: "file-exists" } });
  });

  test.each([
    [["learn", "car.yaml"], "usage", "no run is named"],
    [["learn", "car.yaml", "--baseline", "n.yaml"], "usage", "settings that are in use"],
    [["learn", "car.yaml", "open.hgrun", "--raise"], "usage", "--raise goes with --write"],
    [["learn", "car.yaml", "open.hgrun", "open.hgrun"], "usage", "are the same run"],
    [["learn", "car.yaml", "settings.yaml"], "not-a-run-file", ""],
    [["learn", "none.yaml", "open.hgrun"], "no-file", "none.yaml"],
  ])("%j is refused as %s", async (args, code, what) => {
    const ran = await world.run(...args, "--json");
    expect(ran.json()).toMatchObject({ error: { code } });
    expect(JSON.stringify(ran.json())).toContain(what);
  });

  test("a run without its settings is refused, by what to do", async () => {
    const { pages } = await hiddenRun(entry, entry.settings, {});
    put("bare.hgrun", runFileBytes({ pages }));
    const ran = await world.run("learn", "car.yaml", "bare.hgrun", "--json");
    expect(ran.json()).toMatchObject({ error: { code: "run-settings-unknown" } });
  });
});
