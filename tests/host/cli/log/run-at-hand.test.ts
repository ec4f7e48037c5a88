// Which run a word on the command line means: a file that is there, the newest, a number, or a file that is not there; and a file that is none.
import { fc, test } from "@fast-check/vitest";
import { beforeEach, describe, expect } from "vitest";
import { runOrFile } from "#host/cli/log/run-at-hand.ts";
import { World } from "../world.ts";

let world: World;
beforeEach(() => {
  world = new World();
});

describe("a word for a run", () => {
  const meant = (text: string) => runOrFile({ cwd: world.folder }, text);

  test("is a file where one has that name, even of a number or `last`", () => {
    for (const name of ["3", "last", "run.hgrun"]) {
      world.write(name, "");
      expect(meant(name)).toEqual({ file: name });
    }
  });

  test.prop([fc.integer({ min: 1, max: 0xffff_ffff })])("is a number of 32 bits", (number) => {
    expect(meant(String(number))).toBe(number);
  });

  test("is the newest, or the name of a file that is not there", () => {
    expect(meant("last")).toBe("last");
    for (const name of ["0", "4294967296", "-1", "1.5", "0x1", "run"])
      expect(meant(name)).toEqual({ file: name });
  });
});

test.each([
  ["replay", "other.yaml"],
  ["review", "other.yaml"],
  ["learn", "car.yaml", "other.yaml"],
])("%s names the file that is no run file", async (...words) => {
  world.write("other.yaml", "a: 1\n");
  world.write("car.yaml", "a: 1\n");
  const { exit, stderr } = await world.run(...words);
  expect(exit).toBe(65);
  expect(stderr).toContain("other.yaml: this is no run file");
});
