// `headgate check` and `new`: what is printed, where, and with which exit code.
import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { checkSettings } from "#host/settings/check.ts";
import { exampleDocument, PROTECTIONS } from "#host/settings/example.ts";
import { fieldOf } from "#host/settings/field.ts";
import { OPTIONAL_GROUPS } from "#host/settings/groups.ts";
import { settingsHash } from "#host/settings/hash.ts";
import { formatSettings } from "#host/settings/write.ts";
import { World } from "../world.ts";

const FIRST = exampleDocument(1, PROTECTIONS);
const GOOD = formatSettings(FIRST);

describe("check", () => {
  test("a good file: exit 0 and its hash", async () => {
    const world = new World();
    world.write("car.yaml", GOOD);
    const ran = await world.run("check", "car.yaml");
    expect(ran).toMatchObject({ exit: 0, stderr: "" });
    expect(ran.stdout).toContain("0 errors, 0 cautions");
    expect(ran.stdout).toContain(settingsHash(FIRST));
  });

  test("a bad file: every place with file, line, column, what it got and takes", async () => {
    const world = new World();
    world.write("car.yaml", GOOD.replace("3500 rpm", "3500").replace("frequency:", "freqency:"));
    const ran = await world.run("check", "car.yaml");
    expect(ran.exit).toBe(65);
    expect(ran.stdout).toMatch(/car\.yaml:\d+:\d+ {2}windows\.engine-speed\.open\n +open: 3500\n +\^{4}\n/);
    expect(ran.stdout).toContain("did you mean `frequency`?");
    expect(ran.stdout).toContain("2 errors, 0 cautions");
  });

  test("cautions do not change the exit code", async () => {
    const world = new World();
    world.write("car.yaml", GOOD.replace("6700 rpm", "7000 rpm"));
    const ran = await world.run("check", "car.yaml");
    expect(ran.exit).toBe(0);
    expect(ran.stdout).toContain("caution close-to-limiter");
  });

  test("--json: one document, the same findings", async () => {
    const world = new World();
    world.write("car.yaml", GOOD.replace("3500 rpm", "3500 psi"));
    const ran = await world.run("check", "car.yaml", "--json");
    expect(ran.exit).toBe(65);
    expect(ran.json()).toMatchObject({
      command: "check",
      ok: false,
      file: "car.yaml",
      hash: null,
      error: { code: "bad-settings", exit: 65 },
      issues: [{ code: "wrong-unit", field: "windows.engine-speed.open", got: "3500 psi" }],
      cautions: [],
    });
  });

  test.each([40, 80, 200])("no line is wider than %i columns but for words that are", async (columns) => {
    const world = new World();
    world.columns = columns;
    world.write("car.yaml", GOOD.replaceAll("rpm", "bar").replace("6700", "7000"));
    const ran = await world.run("check", "car.yaml");
    for (const line of ran.stdout.split("\n"))
      if (line.length > columns) expect(line.trim().split(/ +/).length).toBeLessThanOrEqual(3);
  });

  test("colour only on a terminal, and not with NO_COLOR", async () => {
    const world = new World();
    world.write("car.yaml", GOOD.replace("3500 rpm", "3500"));
    expect((await world.run("check", "car.yaml")).stdout).not.toContain("\u001b");
    world.terminal = true;
    expect((await world.run("check", "car.yaml")).stdout).toContain("\u001b");
    world.env = { NO_COLOR: "1" };
    expect((await world.run("check", "car.yaml")).stdout).not.toContain("\u001b");
  });
});

describe("files", () => {
  test("missing", async () => {
    const ran = await new World().run("check", "nothing.yaml");
    expect(ran.exit).toBe(66);
    expect(ran.stderr).toContain("nothing.yaml");
  });
  test("a folder", async () => {
    expect((await new World().run("check", ".")).exit).toBe(66);
  });
});

describe("new", () => {
  test("writes a file that passes its check, and never overwrites one", async () => {
    const world = new World();
    expect((await world.run("new", "car.yaml", "--stages", "3", "--name", "Test car")).exit).toBe(0);
    expect((await world.run("check", "car.yaml")).exit).toBe(0);
    const before = world.read("car.yaml");
    const again = await world.run("new", "car.yaml", "--json");
    expect(again.exit).toBe(64);
    expect(again.json()).toMatchObject({ ok: false, error: { code: "file-exists" } });
    expect(world.read("car.yaml")).toBe(before);
  });

  test("the protections that a careful builder fits are in it; --without takes them away", async () => {
    const world = new World();
    await world.run("new", "all.yaml");
    const cautions = async (file: string): Promise<string[]> => {
      const found = (await world.run("check", file, "--json")).json().cautions as { caution: string }[];
      return [...new Set(found.map(({ caution }) => caution))].sort();
    };
    expect(await cautions("all.yaml")).toEqual([]);
    await world.run("new", "less.yaml", "--without", "fuel,engine.jump", "bottle");
    expect(await cautions("less.yaml")).toEqual(["no-bottle-sensor", "no-jump-watch", "no-proof-of-fuel"]);
    const ran = await world.run("new", "none.yaml", "--without", "brakes");
    expect(ran.exit).toBe(64);
    expect(ran.stderr.replace(/\s+/g, " ")).toContain("one of engine.jump, road, gearbox");
  });

  test("every group can be put in with what it needs, and is taken out again to the same settings", async () => {
    const world = new World();
    await world.run("new", "all.yaml", "--with", ...OPTIONAL_GROUPS.map(fieldOf));
    const hash = async (file: string): Promise<unknown> =>
      (await world.run("check", file, "--json")).json().hash;
    const whole = checkSettings(world.read("all.yaml"));
    expect(whole.issues).toEqual([]);
    for (const path of OPTIONAL_GROUPS) expect(whole.document, path).toHaveProperty(path);
    await world.run("new", "one.yaml", "--with", "lambda", "retard");
    await world.run("new", "two.yaml", "--from", "one.yaml", "--without", "lambda,retard");
    await world.run("new", "none.yaml");
    expect([await hash("two.yaml"), (await hash("one.yaml")) === (await hash("none.yaml"))]).toEqual([
      await hash("none.yaml"),
      false,
    ]);
  });

  test("groups that do not fit together are told of, and nothing is written", async () => {
    const world = new World();
    const ran = await world.run("new", "car.yaml", "--with", "gearbox");
    expect([ran.exit, ran.stderr]).toEqual([65, expect.stringContaining("it needs `road`")]);
    expect((await world.run("check", "car.yaml")).exit).toBe(66);
  });

  test("presets are the settings of the package", async () => {
    const world = new World();
    for (const [preset, file] of [
      ["demo", "street-coupe.yaml"],
      ["bench", "proving-bench.yaml"],
    ] as const) {
      await world.run("new", `${preset}.yaml`, "--preset", preset);
      const { document } = checkSettings(world.read(`${preset}.yaml`));
      expect(document).toEqual(checkSettings(readFileSync(`host/demo/${file}`, "utf8")).document);
    }
    expect((await world.run("new", "--preset", "race")).exit).toBe(64);
    expect((await world.run("new", "--preset", "demo", "--from", "demo.yaml")).exit).toBe(64);
  });

  test("without a name the text goes to stdout alone", async () => {
    const world = new World();
    const ran = await world.run("new");
    world.write("car.yaml", ran.stdout);
    expect((await world.run("check", "car.yaml")).exit).toBe(0);
    expect(ran.stderr).toBe("");
  });
});

describe("errors that are only written wrongly", () => {
  test.each(["check", "load"])(
    "%s names the command that mends them, and says what it leaves",
    async (command) => {
      const world = new World();
      world.write("my car.yaml", GOOD.replace("[1.5 s, 100 %]", "[1,5 s, 100 %]"));
      const flat = async (): Promise<string> => {
        const { stdout, stderr } = await world.run(command, "my car.yaml");
        return `${stdout}${stderr}`.replace(/\s+/g, " ");
      };
      expect(await flat()).toContain("do: `headgate check --fix 'my car.yaml'` mends 1 of them");
      world.write("my car.yaml", GOOD.replace("[1.5 s, 100 %]", "[1,5 s, 101 %]"));
      expect(await flat()).toContain("mends 1 of them; correct the other places shown");
      world.write("my car.yaml", GOOD.replace("[1.5 s, 100 %]", "[1.5 s, 101 %]"));
      expect(await flat()).not.toContain("--fix");
    },
  );
});

describe("check --fix", () => {
  test("mends, keeps the former text beside the file, and says each place; a dry run writes nothing", async () => {
    const world = new World();
    const wrong = GOOD.replace("rev-limiter:", "rev-limitter:");
    world.write("car.yaml", wrong);
    const dry = await world.run("check", "car.yaml", "--fix", "--dry-run");
    expect([dry.exit, world.read("car.yaml")]).toEqual([65, wrong]);
    const ran = await world.run("check", "car.yaml", "--fix");
    expect([ran.exit, world.read("car.yaml.before")]).toEqual([0, wrong]);
    expect(ran.stdout).toMatch(/^car\.yaml:\d+:3 spelling: rev-limitter -> rev-limiter$/m);
    expect(world.read("car.yaml")).toBe(GOOD);
    expect((await world.run("check", "car.yaml", "--fix", "--json")).json()).toMatchObject({
      fixes: [],
      former: null,
    });
    world.write("car.yaml", wrong);
    await world.run("check", "car.yaml", "--fix");
    expect(world.read("car.yaml.before2")).toBe(wrong);
  });
});
