// `headgate read`, `status` and `ports` against the device twin.
import { describe, expect, test } from "vitest";
import { exampleDocument } from "#host/settings/example.ts";
import { settingsBytes, settingsHash } from "#host/settings/hash.ts";
import { formatSettings } from "#host/settings/write.ts";
import { World } from "../world.ts";

const OLD = exampleDocument(1);

/** A world with settings on the device. */
function world(): World {
  const made = new World();
  made.device.state.settings = [...settingsBytes(OLD)];
  return made;
}

describe("read", () => {
  test("gives a settings file that passes its check and is what the device holds", async () => {
    const made = world();
    const ran = await made.run("read");
    expect(ran.exit).toBe(0);
    made.write("back.yaml", ran.stdout);
    expect((await made.run("check", "back.yaml", "--json")).json()).toMatchObject({
      ok: true,
      hash: settingsHash(OLD),
    });
  });

  test("--out writes a new file only, and tells editors where the schema is", async () => {
    const made = world();
    expect((await made.run("read", "--out", "back.yaml")).exit).toBe(0);
    const [schema, ...settings] = made.read("back.yaml").split("\n");
    expect(schema).toMatch(/^# yaml-language-server: \$schema=/);
    expect(settings.join("\n")).toBe(formatSettings(OLD));
    expect((await made.run("read", "--out", "back.yaml")).exit).toBe(64);
  });

  test("a controller without settings: exit 1", async () => {
    const made = world();
    made.device.state.settings = undefined;
    expect((await made.run("read", "--json")).json()).toMatchObject({
      error: { code: "no-settings", exit: 1 },
    });
  });
});

describe("status and ports", () => {
  test("status names everything once", async () => {
    const { stdout } = await world().run("status");
    for (const name of ["board", "image", "settings", "engine", "battery", "switches"])
      expect([name, stdout.match(new RegExp(`(^| {3})${name} `, "gm"))?.length]).toEqual([name, 1]);
    expect(stdout.match(/\bOFF\b/g)).toHaveLength(1);
    expect(stdout).not.toMatch(/^mode/m);
  });

  test("--short is one line", async () => {
    const { stdout } = await world().run("status", "--short");
    expect(stdout).toBe(`OFF: nothing flows; engine 0 rpm; battery 0 V; settings ${settingsHash(OLD)}\n`);
  });

  test("in a terminal of 24 lines nothing scrolls away, not even what was said before it", async () => {
    const made = world();
    made.terminal = true;
    const ran = await made.run("status");
    expect(`${ran.stderr}${ran.stdout}`.split("\n").length).toBeLessThanOrEqual(23);
    expect(ran.stdout).not.toContain("no room here");
  });

  test.each([
    [40, 24],
    [40, 10],
    [80, 24],
  ])(
    "at %ix%i it says which settings are in force, by hash and by the file that they were loaded from",
    async (columns, rows) => {
      const made = world();
      made.write("launch.yaml", formatSettings(exampleDocument(2)));
      expect((await made.run("load", "launch.yaml", "--yes")).exit).toBe(0);
      Object.assign(made, { terminal: true, columns, rows });
      const said = `settings ${settingsHash(exampleDocument(2))} (launch.yaml)`;
      expect((await made.run("status")).stdout).toContain(said);
      const short = (await made.run("status", "--short")).stdout;
      expect(short).toContain(columns === 80 ? said : said.slice(0, 17));
    },
  );

  test("without a port it tells how to practise", async () => {
    const made = world();
    made.ports = [];
    const { stderr } = await made.run("status");
    expect(stderr.replace(/\s+/g, " ")).toMatch(/`headgate board` .*--port practice \(docs\/practice\.md\)/);
  });

  test("who it is and what it sees", async () => {
    const ran = await world().run("status");
    expect(ran.stdout).toContain("112233");
    expect(ran.stdout).toMatch(/engine +0 rpm/);
    expect((await world().run("status", "--json")).json()).toMatchObject({
      ok: true,
      device: { mode: "off" },
    });
  });

  test("doctor says that the variable names the port", async () => {
    const made = world();
    made.env = { HEADGATE_PORT: "/dev/ttyOther" };
    const { stderr } = await made.run("doctor", "--seconds", "1");
    expect(stderr).toContain("using /dev/ttyOther: HEADGATE_PORT names it");
  });

  test("ports, with the choice and its reason", async () => {
    const made = world();
    expect((await made.run("ports", "--json")).json()).toMatchObject({
      ports: made.ports,
      chosen: { path: "/dev/ttyTest" },
    });
    made.ports = [];
    expect((await made.run("ports")).stdout).toContain("no port is chosen automatically");
  });
});
