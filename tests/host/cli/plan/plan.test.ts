// `headgate plan` from outside: what it prints, writes, merges and refuses. Standard input is closed throughout.
import { existsSync, rmSync } from "node:fs";
import { join } from "node:path";
import { beforeEach, describe, expect, test } from "vitest";
import { blendedFlux, saturatedInlet } from "#host/plan/nitrous/flow.ts";
import { saturationTemperatureK } from "#host/plan/nitrous/saturation.ts";
import { checkSettings } from "#host/settings/check.ts";
import { World } from "../world.ts";

/** With a reserve, so that no plan has to search for one that its test does not look at. */
const CAR = `name: Invented coupe
engine: {power: 220 kW, power-at: 6000 rpm, rev-limiter: 6800 rpm, cylinders: 6}
car: {mass: 1500 kg, driven: rear}
limits: {rods: 600 Nm}
fuel: {pump-flow: 255 L/h}
goal: {added-power: 100 hp, stages: 1}
controls: {road-pulses: 4000 pulses/km}
tyres: {reserve: 10 %}
`;

/** What a rehearsal reports, as far as it is looked at here. */
interface Rehearsed {
  readonly stages: readonly (readonly { readonly points: readonly { share: number; table: number }[] }[])[];
  readonly shuts: readonly { readonly flowing: readonly number[]; readonly pinsUs?: number }[];
}

let world: World;
beforeEach(() => {
  world = new World();
  world.columns = 80;
  world.write("car.yaml", CAR);
});

const headgate = (...args: string[]) => world.run(...args);
const read = (name: string) => world.read(name);
const there = (name: string) => existsSync(join(world.folder, name));
const edit = (name: string, from: string | RegExp, to: string) => {
  const before = read(name);
  expect(before).toMatch(from);
  world.write(name, before.replace(from, to));
};

describe("plan", () => {
  test("prints every section, 80 columns at most, and writes nothing unasked", async () => {
    edit("car.yaml", /tyres: .*\n/u, "");
    const { exit, stdout } = await headgate("plan", "car.yaml");
    expect(exit).toBe(0);
    for (const heading of [
      "Plan for Invented coupe",
      "Cautions",
      "Torque against limits",
      "The bottle",
      "Assumptions",
    ])
      expect(stdout).toContain(heading);
    expect(Math.max(...stdout.split("\n").map((line) => line.length))).toBeLessThanOrEqual(80);
    expect(there("s.yaml")).toBe(false);
  });

  test("as JSON: one document with the whole plan", async () => {
    const { stdout } = await headgate("plan", "car.yaml", "--json");
    const { plan } = JSON.parse(stdout);
    expect(plan.stages).toHaveLength(1);
    expect(plan.mixture.length).toBeGreaterThan(8);
  });

  test("into a folder that is not there is a mistake in the name, not in the tool", async () => {
    const { exit, stderr } = await headgate("plan", "car.yaml", "--settings", "nowhere/s.yaml");
    expect(exit).toBe(66);
    expect(stderr).toContain("nowhere/s.yaml: there is no folder nowhere");
  });

  test("writes settings that pass the check, and a page that opens without a network", async () => {
    const pages = ["--html", "p.html", "--sheet", "sheet.html"];
    const { exit } = await headgate("plan", "car.yaml", "--settings", "s.yaml", ...pages);
    expect(exit).toBe(0);
    expect(read("sheet.html")).toContain("Build sheet for Invented coupe");
    expect(checkSettings(read("s.yaml")).issues).toEqual([]);
    expect(read("s.yaml")).toMatch(/^# yaml-language-server: \$schema=file:.*settings\.schema\.json$/m);
    const page = read("p.html");
    expect(page).not.toMatch(/(?:src|href)="(?!#)/u);
    expect(page.match(/class="panel plot/gu)).toHaveLength(11);
    expect(page.match(/<h2>Assumptions/gu)).toHaveLength(1);
    expect(page.match(/Enter the true value of each/gu)).toHaveLength(1);
    expect(page.replace(/<script[\s\S]*/u, "")).not.toContain("`");
  });
});

describe("on the emulated board", () => {
  test("planned settings load, arm and drive the launch; no stage flows more than its ramp asks", async () => {
    edit("car.yaml", "rev-limiter: 6800", "rev-limiter: 7200");
    edit("car.yaml", /limits: .*\n/u, "");
    edit("car.yaml", /tyres: .*/u, "tyres: {friction: 1.2}");
    edit("car.yaml", "stages: 1", "stages: 2");
    await headgate("plan", "car.yaml", "--settings", "s.yaml");
    const ran = await headgate("rehearse", "s.yaml", "--car", "car.yaml", "--html", "run.html", "--json");
    expect(ran.exit).toBe(0);
    const { stages, shuts } = ran.json() as unknown as Rehearsed;
    expect(stages.filter((flows) => flows.length > 0)).toHaveLength(2);
    for (const { share, table } of stages.flat().flatMap((flow) => flow.points)) {
      expect(share).toBeLessThanOrEqual(table + 0.02);
    }
    const cut = shuts.filter(({ flowing }) => flowing.length > 0);
    expect(cut.length).toBeGreaterThan(0);
    for (const { pinsUs } of cut) expect(pinsUs).toBeLessThan(2000);
  });
});

describe("planning again", () => {
  const again = () => headgate("plan", "car.yaml", "--settings", "s.yaml");

  test("keeps edits and comments, brings the new plan in, and says both", async () => {
    await again();
    edit("s.yaml", /longest-run: .*/u, "longest-run: 20000 ms # mine");
    edit("s.yaml", /\nthrottle:/u, "\n# my throttle\nthrottle:");
    edit("car.yaml", "100 hp", "80 hp");
    const { exit, stderr } = await again();
    expect(exit).toBe(0);
    expect(read("s.yaml")).toContain("longest-run: 20000 ms # mine");
    expect(read("s.yaml")).toContain("# my throttle");
    expect(stderr).toContain("flow.longest-run: kept");
    expect(stderr).toMatch(/retard\.table\.2\.angle: 4(?:\.\d)? deg -> 3\.\d deg/u);
    expect(checkSettings(read("s.yaml")).issues).toEqual([]);
  });

  test("with nothing new changes nothing", async () => {
    await again();
    const before = read("s.yaml");
    const { stderr } = await again();
    expect(read("s.yaml")).toBe(before);
    expect(stderr).toContain("nothing changes");
  });

  test("leaves a file alone that no plan wrote, or that has errors", async () => {
    world.write("s.yaml", "version: 1\n");
    expect((await again()).exit).toBe(64);
    expect(read("s.yaml")).toBe("version: 1\n");
    rmSync(join(world.folder, "s.yaml"));
    await again();
    edit("s.yaml", /rev-limiter: .*/u, "rev-limiter: fast");
    const before = read("s.yaml");
    const { exit, stderr } = await again();
    expect([exit, read("s.yaml") === before]).toEqual([65, true]);
    expect(stderr).toContain("nothing was written");
  });
});

describe("acknowledged", () => {
  const REASON = "a second pump of its own, 200 L/h measured";
  const plan = () => headgate("plan", "car.yaml", "--settings", "s.yaml");
  const head = () => read("s.yaml").split("\n")[0];
  beforeEach(() => {
    edit("car.yaml", /fuel: .*\n/u, `acknowledged: {fuel-pump: "${REASON}"}\n`);
  });

  test("stands on top of report, page and settings file, and goes when it is no longer needed", async () => {
    const { exit, stdout } = await headgate("plan", "car.yaml", "--settings", "s.yaml", "--html", "p.html");
    expect(exit).toBe(0);
    const [report, page] = [stdout, read("p.html")];
    expect(report.slice(0, 600)).toContain("ACKNOWLEDGED");
    expect(report.indexOf("ACKNOWLEDGED")).toBeLessThan(report.indexOf("CAUTION"));
    expect(page.indexOf("ACKNOWLEDGED")).toBeLessThan(page.indexOf("CAUTION"));
    expect(head()).toBe(`# ACKNOWLEDGED fuel-pump: ${REASON}`);
    expect(checkSettings(read("s.yaml")).issues).toEqual([]);
    await plan();
    expect(read("s.yaml").match(/ACKNOWLEDGED/gu)).toHaveLength(1);
    edit("car.yaml", /acknowledged: .*\n/u, "fuel: {pump-flow: 255 L/h}\n");
    expect((await plan()).exit).toBe(0);
    expect(read("s.yaml")).not.toContain("ACKNOWLEDGED");
  });

  test("a reason cannot write lines of its own into the settings", async () => {
    edit("car.yaml", REASON, "two lines\\nthrottle: {switch: no}");
    await plan();
    expect(head()).toContain("two lines throttle");
    expect(checkSettings(read("s.yaml")).issues).toEqual([]);
  });
});

describe("the window of the bottle", () => {
  test("stands in the settings, in whole kPa inside the planned one", async () => {
    await headgate("plan", "car.yaml", "--settings", "s.yaml", "--json");
    const { bottle } = checkSettings(read("s.yaml")).document as unknown as {
      bottle: Record<string, number>;
    };
    const psi = 6.894757;
    expect(bottle).toMatchObject({
      lowestKpaGauge: Math.ceil(675 * psi),
      highestKpaGauge: Math.floor(975 * psi),
    });
    edit("car.yaml", "road-pulses:", "bottle-sensor-reach: 1200 psi, road-pulses:");
    rmSync(join(world.folder, "s.yaml"));
    await headgate("plan", "car.yaml", "--settings", "s.yaml");
    expect(checkSettings(read("s.yaml")).document).toMatchObject({ bottle: { highKpaGauge: 8273 } });
  });
});

describe("refusals", () => {
  test("errors of a car file: all at once with place and remedy, nothing written, 65", async () => {
    edit("car.yaml", "1500 kg", "heavy");
    edit("car.yaml", "600 Nm", "600 psi");
    const { exit, stderr } = await headgate("plan", "car.yaml", "--settings", "s.yaml", "--html", "p.html");
    expect(exit).toBe(65);
    expect(stderr).toContain("car.yaml:3:13  car.mass");
    expect(stderr).toContain("car.yaml:4:16  limits.rods");
    expect([there("s.yaml"), there("p.html")]).toEqual([false, false]);
    const json = JSON.parse((await headgate("plan", "car.yaml", "--json")).stdout);
    expect(json).toMatchObject({ ok: false, error: { code: "bad-car" } });
    expect(json.errors).toHaveLength(2);
  });

  test("a goal past the limits is shown but gives no settings file, 1", async () => {
    edit("car.yaml", "100 hp", "300 hp");
    const { exit, stdout, stderr } = await headgate("plan", "car.yaml", "--settings", "s.yaml");
    expect(exit).toBe(1);
    expect(stdout).toContain("STOP");
    expect(stderr).toContain("past-limits");
    expect(there("s.yaml")).toBe(false);
  });

  test.each([
    ["a goal out of reach", "added-power: 100 hp", "quarter-mile: 8 s", 1, "goal-unreachable"],
    ["a bore too narrow", "goal:", "nitrous: {solenoid-bore: 0.6 mm}\ngoal:", 65, "cannot pass"],
  ])("%s", async (_, from, to, code, words) => {
    edit("car.yaml", from, to);
    const { exit, stderr } = await headgate("plan", "car.yaml");
    expect(exit).toBe(code);
    expect(stderr).toContain(words);
  });

  test("a missing file is 66, another file under the page's name is left alone", async () => {
    expect((await headgate("plan", "none.yaml")).exit).toBe(66);
    world.write("p.html", "my page");
    expect((await headgate("plan", "car.yaml", "--html", "p.html")).exit).toBe(64);
    expect(read("p.html")).toBe("my page");
  });
});

describe("plan calibrate", () => {
  const args = [
    "--car",
    "car.yaml",
    "--jet",
    "1.2 mm",
    "--start",
    "900 psi",
    "--end",
    "870 psi",
    "--after",
    "9.95 kg",
    "--open",
    "10 s",
  ];

  test("gives a coefficient with its uncertainty", async () => {
    const { exit, stdout } = await headgate("plan", "calibrate", ...args, "--before", "10.42 kg", "--json");
    const found = JSON.parse(stdout);
    expect(exit).toBe(0);
    expect(found.massFlowKgS).toBeCloseTo(0.047, 9);
    expect(found.dischargeCoefficient).toBeGreaterThan(0.7);
    expect(found.relativeUncertainty).toBeLessThan(0.05);
    // The jet without the line and the solenoid before it, by hand: it would seem to pass less.
    const flux = (psi: number) =>
      blendedFlux(saturatedInlet(saturationTemperatureK(psi * 6894.757 + 101_325)), 101_325);
    const alone = 0.047 / (((flux(900) + flux(870)) / 2) * (Math.PI / 4) * 0.0012 ** 2);
    expect(found.dischargeCoefficient).toBeGreaterThan(1.03 * alone);
  });

  test("says through what it flowed, and that a coefficient with a remark is not to be used", async () => {
    const good = await headgate("plan", "calibrate", ...args, "--before", "10.42 kg");
    const words = good.stdout.replace(/\s+/gu, " ");
    // The plan's own solenoid, for a jet of some 1.25 mm: three times its area, in tenths of a millimetre.
    expect(words).toMatch(/one jet, a line of 4\.8 mm and [\d.]+ m and a solenoid of 2\.[12] mm/u);
    expect(words).toContain("add it to the car file: nitrous: {jet-coefficient: 0.");
    const bad = await headgate("plan", "calibrate", ...args, "--before", "10.05 kg");
    expect(bad.stdout.replace(/\s+/gu, " ")).toContain("outside 0.4 to 1");
    expect(bad.stdout.replace(/\s+/gu, " ")).toContain("do not enter it");
  });

  test.each([
    ["--before", "9 kg", "not lighter"],
    ["--before", "10 bar", "is a pressure"],
    [
      "--start",
      "1100 psi",
      '--start: liquid in a bottle stands between 130 and 1036 psi gauge, and "1100 psi"',
    ],
    ["--end", "20 psi", "--end: liquid"],
    ["--scale-step", "-1 g", "must not be below zero"],
    ["--stage", "3", "has one stage, and no stage 3"],
  ])("%s %s is refused", async (option, value, words) => {
    const others = args.flatMap((word, i) => (word === option || args[i - 1] === option ? [] : [word]));
    const given = option === "--before" ? [] : ["--before", "10.42 kg"];
    const { exit, stderr } = await headgate("plan", "calibrate", ...others, ...given, `${option}=${value}`);
    expect(exit).toBe(64);
    expect(stderr.replace(/\s+/gu, " ")).toContain(words);
  });
});
