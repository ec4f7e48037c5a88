// A controller that waits for settings with its arm switch on would arm the moment it has them: nothing is loaded into it until the switch is off.
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { NOT_LOADED } from "#host/cli/load/verdict.ts";
import { PracticeWorld } from "../bench/practice/practice-world.ts";

describe("the arm switch is on, and no settings are stored", () => {
  const world = new PracticeWorld(false);
  beforeAll(() => world.open());
  afterAll(() => world.close());

  test("a load is refused, the controller stays off, and with the switch off it is loaded and stays off", async () => {
    await world.run("new", "my.yaml", "--preset", "demo");
    await world.run("board", "arm", "on");
    const refused = await world.run("load", "my.yaml", "--yes", "--json");
    expect(JSON.parse(refused.stdout)).toMatchObject({
      ok: false,
      error: { code: "arm-switch-on", exit: 1 },
      verdict: NOT_LOADED,
    });
    expect([world.practice.mode, world.practice.bench.settingsCrc]).toEqual(["off", undefined]);
    await world.run("board", "arm", "off");
    expect((await world.run("load", "my.yaml", "--yes")).stdout).toMatch(/LOADED\n$/);
    expect(world.practice.mode).toBe("off");
  });
});
