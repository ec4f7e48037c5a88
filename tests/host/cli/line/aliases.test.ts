// A remembered name leads to its controller wherever the adapter is plugged in, and only to that board; flag and variable go first.
import { describe, expect, test } from "vitest";
import { exampleDocument } from "#host/settings/example.ts";
import { formatSettings } from "#host/settings/write.ts";
import { World } from "../world.ts";

const OTHER = { path: "/dev/ttyOther", vendorId: "1209", productId: "0002", serialNumber: "B2" };
const HOME = { path: "/dev/ttyTest", vendorId: "1209", productId: "0001", serialNumber: "A1" };

/** A world with two adapters, in which the controller at the first is named `car`. */
async function world(): Promise<World> {
  const made = new World();
  made.device.state.boardNumber = 0xa1b2c3;
  made.ports = [HOME, OTHER];
  expect((await made.run("ports", "--remember", "car", "--port", HOME.path)).stdout).toContain(
    "board a1b2c3",
  );
  return made;
}

/** The port that was opened, and why. */
const used = ({ stderr }: { stderr: string }): string => /^using .*$/m.exec(stderr)?.[0] ?? "";

describe("a remembered name", () => {
  test("is used by itself among several adapters, and by name", async () => {
    const made = await world();
    expect(used(await made.run("status"))).toBe('using /dev/ttyTest: it is remembered as "car"');
    const opened: string[] = [];
    const { openLine } = made;
    made.openLine = (name, baud) => {
      opened.push(name);
      return openLine(name, baud);
    };
    expect((await made.run("status", "--port", "car")).exit).toBe(0);
    expect(opened).toEqual([HOME.path]);
  });

  test("goes with its adapter to another path", async () => {
    const made = await world();
    made.ports = [OTHER, { ...HOME, path: "/dev/ttyMoved" }];
    expect(used(await made.run("status"))).toContain("/dev/ttyMoved");
  });

  test("the flag goes first, then the variable, then the name; doctor says so", async () => {
    const made = await world();
    made.env = { HEADGATE_PORT: OTHER.path };
    expect(used(await made.run("status"))).toBe("using /dev/ttyOther: HEADGATE_PORT names it");
    expect((await made.run("ports", "--json")).json()).toMatchObject({ chosen: { path: OTHER.path } });
    made.env = { HEADGATE_PORT: "car" };
    expect(used(await made.run("status"))).toContain(
      '/dev/ttyTest: HEADGATE_PORT names it; it is remembered as "car"',
    );
    made.columns = 200;
    expect((await made.run("doctor", "--seconds", "1")).stdout).toContain(
      "a port is chosen by --port, then HEADGATE_PORT, then a remembered name, then the only adapter",
    );
  });

  test("another board behind it is refused, whatever was to be done", async () => {
    const made = await world();
    made.write("my.yaml", formatSettings(exampleDocument(1)));
    made.device.state.boardNumber = 0x111111;
    for (const args of [["status"], ["load", "my.yaml", "--yes"], ["status", "--port", "car"]]) {
      const ran = await made.run(...args);
      expect([ran.exit, ran.stderr]).toEqual([
        76,
        expect.stringContaining("leads to another controller now"),
      ]);
    }
    expect(made.device.state.settings).toBeUndefined();
  });

  test("not plugged in: named, it is missing; unnamed, the other adapter is not guessed to be it", async () => {
    const made = await world();
    made.ports = [OTHER];
    const ran = await made.run("status", "--port", "car");
    expect([ran.exit, ran.stderr]).toEqual([69, expect.stringContaining('"car" is not plugged in')]);
    expect(used(await made.run("status"))).toBe("using /dev/ttyOther: the only serial adapter on USB");
    expect((await made.run("ports")).stdout).toContain("remembered: car is board a1b2c3, not plugged in");
  });

  test("can be forgotten; what cannot be a name is refused, and so is a board without a number", async () => {
    const made = await world();
    for (const name of ["practice", "/dev/x", "tcp:x", "", "Car"])
      expect((await made.run("ports", "--remember", name, "--port", HOME.path)).exit, name).toBe(64);
    expect((await made.run("ports", "--forget", "car")).exit).toBe(0);
    expect((await made.run("ports", "--forget", "car")).exit).toBe(64);
    expect((await made.run("status", "--json")).json()).toMatchObject({ error: { code: "many-ports" } });
    made.device.state.boardNumber = 0;
    const ran = await made.run("ports", "--remember", "car", "--port", HOME.path, "--json");
    expect(ran.json()).toMatchObject({ ok: false, error: { code: "no-board-number" } });
  });
});
