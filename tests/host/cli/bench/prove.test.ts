// `headgate prove` from the command line: table, files, JSON, exit codes.
import { describe, expect, test } from "vitest";
import { ROW_IDS } from "#host/bench/prove/catalogue.ts";
import { World } from "../world.ts";

describe("prove", () => {
  test("one row passes, with a table, a page and JUnit XML", async () => {
    const world = new World();
    const ran = await world.run("prove", "--only", "wot", "--html", "proof.html", "--junit", "proof.xml");
    expect(ran.exit).toBe(0);
    expect(ran.stdout).toMatch(/^WOT +hold-off +passed/m);
    expect(ran.stdout.trimEnd().split("\n").at(-1)).toBe(
      `PROVED: every fault of the chosen rows was shown and met in time; 1 of ${ROW_IDS.length} rows chosen, nothing is proved of the others`,
    );
    expect(ran.stdout).toContain("no certified safety level");
    expect(ran.stdout).toMatch(/^Not chosen, so nothing is proved of: ARM,/m);
    expect(world.read("proof.html")).toContain("throttle switch open");
    expect(world.read("proof.xml")).toContain('failures="0"');
  });

  test("--json is one document with every fault", async () => {
    const ran = await new World().run("prove", "--only", "LINK", "--json");
    const { ok, findings, certified, outcome, verdict } = ran.json() as {
      ok: boolean;
      outcome: string;
      verdict: string;
      findings: { row: string }[];
      certified: boolean;
    };
    expect([ok, certified, findings.map(({ row }) => row)]).toEqual([true, false, ["LINK"]]);
    expect([outcome, verdict]).toEqual(["PROVED", expect.stringContaining("1 of")]);
  });

  test("a row that these settings do not switch on is no success", async () => {
    const world = new World();
    const made = await world.run("new", "car.yaml");
    expect(made.exit).toBe(0);
    const ran = await world.run("prove", "--only", "DRIVELINE", "--settings", "car.yaml");
    expect(ran.stdout).toContain("Not fitted, so nothing is proved of: DRIVELINE.");
    expect(ran.stdout).toMatch(/^NOTHING PROVED: .*\n$/m);
    expect(ran.exit).toBe(1);
  });

  test("a file that cannot be written is noticed before anything is tried", async () => {
    const world = new World();
    for (const option of ["--html", "--junit"]) {
      const ran = await world.run("prove", "--only", "LINK", option, "no/such/folder/proof");
      expect([ran.exit, ran.stderr.includes("emulated board")]).toEqual([66, false]);
      expect(ran.stdout).toBe("NOTHING PROVED\n");
    }
  });

  test("a certificate is never written over; it is noticed before anything is tried", async () => {
    const world = new World();
    world.write("proof.html", "the one of last week");
    const ran = await world.run("prove", "--only", "LINK", "--html", "proof.html");
    expect([ran.exit, ran.stderr.includes("emulated board")]).toEqual([64, false]);
    expect(ran.stderr).toContain("proof.html is there already");
    expect(world.read("proof.html")).toBe("the one of last week");
  });

  test("an interruption ends it with nothing proved and nothing written", async () => {
    const world = new World();
    setTimeout(() => world.stop.abort(), 1);
    const ran = await world.run("prove", "--only", "WOT", "--html", "proof.html", "--junit", "proof.xml");
    expect(ran.exit).toBe(130);
    expect(ran.stdout).toBe("NOTHING PROVED\n");
    for (const name of ["proof.html", "proof.xml"]) expect(() => world.read(name)).toThrow();
  });

  test("an unknown row is a mistake in the command line", async () => {
    const ran = await new World().run("prove", "--only", "NONE");
    expect(ran.exit).toBe(64);
    expect(ran.stderr).toContain("no interlock NONE");
  });
});
