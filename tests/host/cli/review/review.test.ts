// `headgate review` from run files and from a controller: what it writes, what it says of files that are damaged or none at all.
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { runFileBytes } from "#host/logbook/run-file/run-file.ts";
import { recorded } from "../../../support/recorded.ts";
import { World } from "../world.ts";

const world = new World();
const CAR = readFileSync("host/demo/street-coupe-car.yaml", "utf8");
const { file } = await recorded({ forS: 4 });
const whole = runFileBytes({ ...file, note: "13.42 s, dry" });
const put = (name: string, bytes: Uint8Array): void => writeFileSync(join(world.folder, name), bytes);
put("one.hgrun", whole);
put("car.hgrun", runFileBytes({ ...file, car: CAR }));
put("two.hgrun", runFileBytes((await recorded({ forS: 4, liftS: 2.6 })).file));
const CUT = Math.floor(0.7 * whole.length);
put("cut.hgrun", whole.subarray(0, CUT));
const { settings: _, ...bare } = file;
put("bare.hgrun", runFileBytes(bare));

interface Told {
  readonly runs: readonly {
    readonly name: string;
    readonly origin: string;
    readonly note: string | null;
    readonly lacks: readonly string[];
    readonly story: readonly { at: number; kind: string; words: string }[];
    readonly numbers: readonly { what: string; value: string }[];
  }[];
}

describe("headgate review", () => {
  test("tells a run in words and numbers, with its note", async () => {
    const ran = await world.run("review", "one.hgrun");
    expect(ran.exit).toBe(0);
    for (const words of [
      "note: 13.42 s, dry",
      "stage 1 opens",
      "flowed in all",
      "times count from the launch",
    ])
      expect(ran.stdout).toContain(words);
    expect(ran.stdout).not.toContain("not there");
  });

  test("says first what the run came to", async () => {
    const { stdout } = await world.run("review", "one.hgrun");
    expect(stdout.split("\n")[0]).toBe("Nothing tripped.");
    expect(stdout.split("\n")[1]).toMatch(/^Flowed for \d/);
  });

  test("two runs are one text: once what both have, both values where they differ", async () => {
    const { stdout } = await world.run("review", "one.hgrun", "two.hgrun");
    const lines = stdout.split("\n");
    expect(lines[0]).toBe("first, one.hgrun: Nothing tripped.");
    expect(lines.filter((line) => line === "In numbers")).toHaveLength(1);
    const [one, other] = [await world.run("review", "one.hgrun"), await world.run("review", "two.hgrun")];
    const long = one.stdout.split("\n").length + other.stdout.split("\n").length;
    expect(lines.length).toBeLessThan(long - 10);
    expect(stdout).toMatch(/^ +\d\.\d\d s +\d\.\d\d s {3}stages? 1/m);
    expect(stdout.replace(/\s+/g, " ")).toMatch(/\(for \d\.\d\d s; second: for \d\.\d\d s\)/);
    expect(stdout).toMatch(/^flowed in all:\n {2}first {2}\d\.\d\d s .*\n {2}second \d\.\d\d s /m);
    const same = await world.run("review", "one.hgrun", "one.hgrun");
    expect(same.stdout).not.toMatch(/first:|second:|^ {2}first/m);
  });

  test("calculates the nitrous from the plan of the car in the file", async () => {
    const { runs } = (await world.run("review", "car.hgrun", "--json")).json() as unknown as Told;
    expect(runs[0]!.numbers.find(({ what }) => what === "nitrous used")?.value).toMatch(/^0\.\d\d lb$/);
  });

  test("writes a page and values, and nothing over what is there", async () => {
    const ran = await world.run(
      "review",
      "one.hgrun",
      "two.hgrun",
      "--html",
      "page.html",
      "--csv",
      "one.csv",
    );
    expect(ran.exit).toBe(0);
    expect(world.read("page.html")).toContain("<title>Review of one.hgrun and two.hgrun</title>");
    expect(world.read("one.csv")).toMatch(/^time \[s\],/);
    expect((await world.run("review", "one.hgrun", "--html", "page.html", "--json")).json()).toMatchObject({
      error: { code: "file-exists" },
    });
  });

  test("--json has the same as data, for both runs, by the same kind of moment", async () => {
    const { runs } = (
      await world.run("review", "one.hgrun", "bare.hgrun", "--json")
    ).json() as unknown as Told;
    expect(runs.map(({ name, origin }) => [name, origin])).toEqual([
      ["one.hgrun", "first flow"],
      ["bare.hgrun", "first flow"],
    ]);
    expect(runs[1]!.lacks.join()).toContain("the settings that were in force");
    expect(runs[0]!.story.find(({ kind }) => kind === "opens")?.at).toBe(0);
  });

  test("of a cut file tells what is whole, and names what is not", async () => {
    const ran = await world.run("review", "cut.hgrun", "--json");
    const { runs } = ran.json() as unknown as Told;
    expect(ran.exit).toBe(0);
    expect(runs[0]!.note).toBe("13.42 s, dry");
    const [damage, cut, run] = runs[0]!.lacks;
    expect(damage).toContain(`to ${CUT - 1} of the file are damaged`);
    expect(cut).toContain("cut short");
    expect(run).toContain("the run is cut short");
  });

  test.each([
    [
      "others than those of the run",
      (block: Uint8Array) => block.map((byte, i) => (i === 40 ? byte ^ 1 : byte)),
    ],
    ["too short", (block: Uint8Array) => block.slice(0, 9)],
  ])("settings in the file that are %s are not believed", async (_, change) => {
    const { fingerprint, block } = file.settings!;
    put("others.hgrun", runFileBytes({ ...file, settings: { fingerprint, block: change(block) } }));
    const { runs } = (await world.run("review", "others.hgrun", "--json")).json() as unknown as Told;
    expect(runs[0]!.lacks).toEqual(["the settings that were in force: the file's are others"]);
    expect(runs[0]!.origin).toBe("first flow");
  });

  test("a car file given beside it takes the place of its own; one with errors is named", async () => {
    world.write("bad-car.yaml", "engine: {}\n");
    const { runs } = (
      await world.run("review", "car.hgrun", "--car", "bad-car.yaml", "--json")
    ).json() as unknown as Told;
    expect(runs[0]!.lacks).toEqual(["the car file has errors: no mass is calculated"]);
    expect(runs[0]!.numbers.map(({ what }) => what)).not.toContain("nitrous used");
  });

  test.each([
    ["text.hgrun", "no file of this kind", "not-a-run-file", 65],
    ["empty.hgrun", runFileBytes({ note: "only a note", pages: [] }), "empty-run", 65],
  ])("of %s fails with its code", async (name, content, code, exit) => {
    writeFileSync(join(world.folder, name), content);
    const ran = await world.run("review", name, "--json");
    expect(ran.json()).toMatchObject({ ok: false, error: { code } });
    expect(ran.exit).toBe(exit);
  });

  test("of a name that is no file and no number says so", async () => {
    expect((await world.run("review", "nothing.hgrun", "--json")).json()).toMatchObject({
      error: { code: "no-file" },
    });
  });
});
