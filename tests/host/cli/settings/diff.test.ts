// `headgate diff`: the same way round as a load, both sides in words.
import { expect, test } from "vitest";
import { exampleDocument } from "#host/settings/example.ts";
import { settingsBytes } from "#host/settings/hash.ts";
import { formatSettings } from "#host/settings/write.ts";
import { World } from "../world.ts";

const ONE = exampleDocument(1);

/** A world with settings on the device and in `one.yaml`, and others in `two.yaml`. */
function world(): World {
  const made = new World();
  made.device.state.settings = [...settingsBytes(ONE)];
  made.write("one.yaml", formatSettings(ONE));
  made.write("two.yaml", formatSettings(exampleDocument(2)));
  return made;
}

test("file against file, file against controller", async () => {
  const made = world();
  expect((await made.run("diff", "one.yaml", "device")).exit).toBe(0);
  const ran = await made.run("diff", "one.yaml", "two.yaml", "--json");
  expect(ran.exit).toBe(1);
  expect(ran.json()).toMatchObject({ ok: false, same: false, old: "one.yaml", new: "two.yaml" });
});

test("a file alone is compared the way a load does it: the controller before, the file after, in words", async () => {
  const made = world();
  const { stdout } = await made.run("diff", "two.yaml");
  expect(stdout).toMatch(/^stages\.2\n {2}controller not there\n {2}file {7}there$/m);
  expect((await made.run("diff", "two.yaml", "--json")).json()).toMatchObject({
    old: "device",
    new: "two.yaml",
  });
  expect((await made.run("load", "two.yaml", "--dry-run")).stderr).toContain(stdout);
});

test("two files are told apart by a line of their own", async () => {
  const { stdout } = await world().run("diff", "one.yaml", "two.yaml");
  expect(stdout).toMatch(/^first: one\.yaml; second: two\.yaml$/m);
  expect(stdout).toMatch(/^ {2}first {2}not there\n {2}second there$/m);
});

test("a changed ramp is drawn", async () => {
  const made = world();
  made.write("three.yaml", formatSettings(ONE).replace("[0 s, 30 %]", "[0.2 s, 10 %]"));
  expect((await made.run("diff", "one.yaml", "three.yaml")).stdout).toContain("o first  + second  * both");
});
