// At the track: waiting for the controller, copies and undo, another car's settings, a cable that comes and goes.
import { existsSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { LOADED, NOT_LOADED, OLD_ACTIVE } from "#host/cli/load/verdict.ts";
import { exampleDocument } from "#host/settings/example.ts";
import { settingsBytes, settingsHash } from "#host/settings/hash.ts";
import { formatSettings } from "#host/settings/write.ts";
import { World } from "./world.ts";

const ONE = exampleDocument(1);
const TWO = exampleDocument(2);

/** A world with one stage on the device and two files. */
function world(): World {
  const made = new World();
  made.device.state.settings = [...settingsBytes(ONE)];
  made.write("one.yaml", formatSettings(ONE));
  made.write("two.yaml", formatSettings(TWO));
  return made;
}

const active = (made: World): string =>
  [ONE, TWO]
    .map(settingsHash)
    .find((_, i) => Buffer.from(made.device.state.settings!).equals(settingsBytes([ONE, TWO][i]!))) ?? "";
const lastLine = (text: string): string => text.trimEnd().split("\n").at(-1)!;

describe("copies and undo", () => {
  test("a load keeps a copy of what was there; undo puts it back; undo again puts the other one back", async () => {
    const made = world();
    expect((await made.run("load", "two.yaml", "--yes")).exit).toBe(0);
    made.now = new Date("2026-05-01T11:00:00Z");
    const undone = await made.run("undo", "--yes");
    expect([undone.exit, lastLine(undone.stdout), active(made)]).toEqual([0, LOADED, settingsHash(ONE)]);
    made.now = new Date("2026-05-01T12:00:00Z");
    await made.run("undo", "--yes");
    expect(active(made)).toBe(settingsHash(TWO));
    const history = await made.run("history", "--json");
    expect((history.json().copies as { hash: string }[]).map(({ hash }) => hash)).toEqual(
      [ONE, TWO, ONE].map(settingsHash),
    );
  });

  test("history names each copy, when it was kept by the clock on the wall, and before what", async () => {
    const made = world();
    await made.run("load", "one.yaml", "--yes");
    await made.run("load", "two.yaml", "--yes");
    made.now = new Date("2026-05-01T11:00:00Z");
    await made.run("undo", "--yes");
    const [first, second] = (await made.run("history", "--json")).json().copies as Record<string, string>[];
    expect(first).toMatchObject({ name: "one.yaml", hash: settingsHash(ONE) });
    expect(second).toMatchObject({ name: "two.yaml", hash: settingsHash(TWO) });
    expect(first!.before).toMatch(/^load of (one|two)\.yaml$/);
    expect(second!.before).toBe("undo");
    made.columns = 200;
    const hours = String(made.now.getHours()).padStart(2, "0");
    expect((await made.run("history")).stdout).toMatch(
      new RegExp(` ${hours}:00:00 .*two\\.yaml .* undo$`, "m"),
    );
  });

  test("a file name with a line break in it stays in the first line of its copy", async () => {
    const made = world();
    const name = made.write("two\nversion: 9.yaml", formatSettings(TWO));
    await made.run("load", name, "--yes");
    const [copy] = (await made.run("history", "--json")).json().copies as { path: string; before: string }[];
    expect(copy!.before).toBe("load of two version: 9.yaml");
    expect((await made.run("check", copy!.path)).exit).toBe(0);
  });

  test("a chosen copy, by the beginning of its hash", async () => {
    const made = world();
    await made.run("load", "two.yaml", "--yes");
    expect((await made.run("undo", settingsHash(ONE).slice(0, 4), "--yes")).exit).toBe(0);
    expect(active(made)).toBe(settingsHash(ONE));
  });

  test("nothing to put back: exit 1, nothing changes", async () => {
    const made = world();
    const ran = await made.run("undo", "--yes", "--json");
    expect(ran.json()).toMatchObject({ error: { code: "no-copy", exit: 1 }, verdict: NOT_LOADED });
    expect((await made.run("history")).stdout).toContain("no copies yet");
  });

  test("no copy can be kept: nothing is loaded", async () => {
    const made = world();
    writeFileSync(join(made.folder, "data"), "a file where the folder belongs");
    const ran = await made.run("load", "two.yaml", "--yes", "--json");
    expect(ran.json()).toMatchObject({ error: { code: "copy-failed" }, verdict: OLD_ACTIVE });
    expect(active(made)).toBe(settingsHash(ONE));
  });
});

describe("another car", () => {
  test("settings that went into another board ask twice", async () => {
    const made = world();
    await made.run("load", "two.yaml", "--yes");
    expect(existsSync(join(made.folder, "two.yaml.board.json"))).toBe(true);
    made.device.state.settings = [...settingsBytes(ONE)];
    made.device.state.boardNumber = 0x090909;
    const refused = await made.run("load", "two.yaml", "--yes");
    expect([refused.exit, active(made)]).toEqual([64, settingsHash(ONE)]);
    expect(refused.stderr).toContain("--other-board");
    expect((await made.run("load", "two.yaml", "--yes", "--other-board")).exit).toBe(0);
    expect((await made.run("load", "two.yaml", "--yes")).exit).toBe(0);
  });
});

describe("waiting", () => {
  test("for a port that is not plugged in yet", async () => {
    const made = world();
    const ports = made.ports;
    made.ports = [];
    made.clock.after(3000, () => {
      made.ports = ports;
    });
    const ran = await made.run("load", "two.yaml", "--yes", "--wait", "10");
    expect([ran.exit, lastLine(ran.stdout)]).toEqual([0, LOADED]);
    expect(ran.stderr).toContain("waiting for a controller, 10 s at most");
  });

  test("not for ever", async () => {
    const made = world();
    made.ports = [];
    const start = made.clock.nowMs();
    expect((await made.run("status", "--wait", "5")).exit).toBe(69);
    expect(made.clock.nowMs() - start).toBeLessThan(6000);
  });

  test("a cable pulled in the middle and plugged in again: it goes on where it stopped", async () => {
    const made = world();
    made.onWire = (wire) => {
      if (made.wires.length === 0) wire.watch = (sent) => sent > 700 && wire.unplug();
    };
    const ran = await made.run("load", "two.yaml", "--yes", "--wait", "10");
    expect([ran.exit, lastLine(ran.stdout), active(made)]).toEqual([0, LOADED, settingsHash(TWO)]);
    expect(ran.stderr).toContain("goes on where it stopped");
    expect(made.wires.length).toBe(2);
  });

  test("a cable that is pulled every time: it gives up after some tries", async () => {
    const made = world();
    made.onWire = (wire) => {
      wire.watch = (sent) => sent > 150 && wire.unplug();
    };
    const ran = await made.run("load", "two.yaml", "--yes", "--wait", "10");
    expect([ran.exit, lastLine(ran.stdout), active(made)]).toEqual([74, NOT_LOADED, settingsHash(ONE)]);
    expect(made.wires.length).toBe(3);
  });
});

describe("several adapters", () => {
  test("the one that led to a controller before is taken", async () => {
    const made = world();
    await made.run("status");
    made.ports = [...made.ports, { path: "/dev/ttyOther", vendorId: "0403", serialNumber: "B2" }];
    const ran = await made.run("status");
    expect(ran.exit).toBe(0);
    expect(ran.stderr).toContain("a controller was behind this adapter before (A1)");
  });

  test("ports --ask says which is a controller, and how it knows", async () => {
    const made = world();
    const ran = await made.run("ports", "--ask", "--json");
    expect(ran.json()).toMatchObject({ answers: [{ path: "/dev/ttyTest", board: "112233" }] });
    made.onWire = (wire) => {
      wire.damage = () => [];
    };
    expect((await made.run("ports", "--ask")).stdout).toContain("/dev/ttyTest: nothing answered");
  });
});

describe("doctor", () => {
  test("a clean line: exit 0 and its round trip", async () => {
    const ran = await world().run("doctor", "--seconds", "1");
    expect(ran.exit).toBe(0);
    expect(ran.stdout).toContain("the line is clean");
  });

  test("a disturbed line: exit 1", async () => {
    const made = world();
    let piece = 0;
    made.onWire = (wire) => {
      wire.damage = (bytes, direction) => {
        const hit = direction === "toHost" && ++piece % 5 === 0;
        return [hit ? bytes.with(3, bytes[3]! ^ 0x44) : bytes];
      };
    };
    const ran = await made.run("doctor", "--seconds", "1", "--json");
    expect(ran.exit).toBe(1);
    expect((ran.json().quality as { damagedHere: number }).damagedHere).toBeGreaterThan(0);
  });

  test("TX on RX: it knows its own requests", async () => {
    const made = world();
    made.device.receive = (bytes) => [...bytes];
    const ran = await made.run("doctor", "--json");
    expect(ran.json()).toMatchObject({ error: { code: "line-echo", exit: 69 }, device: null });
  });

  test.each([
    ["another table of settings", { fingerprint: 1 }, "schema-mismatch"],
    ["other messages", { protocol: 9 }, "protocol-mismatch"],
  ])("a controller with %s: it says who answers, and what to do", async (_, state, code) => {
    const made = world();
    Object.assign(made.device.state, state);
    const ran = await made.run("doctor");
    expect(ran.exit).toBe(76);
    expect(ran.stdout).toContain("board 112233 answers: image 1.2.3, check sum good");
    expect(ran.stdout).toContain(`headgate explain ${code}`);
    expect(ran.stdout).not.toContain("no controller");
  });

  test("a damaged image: exit 1 over a clean line", async () => {
    const made = world();
    made.device.state.imageGood = false;
    const ran = await made.run("doctor", "--seconds", "1");
    expect(ran.exit).toBe(1);
    expect(ran.stdout).toContain("the image on the controller is damaged");
    expect(ran.stdout).toContain("the line is clean");
  });

  test("no controller: the reason, and its own exit code", async () => {
    const made = world();
    made.ports = [];
    const ran = await made.run("doctor", "--json");
    expect(ran.exit).toBe(69);
    expect(ran.json()).toMatchObject({ ok: false, error: { code: "no-port" }, quality: null });
  });
});

describe("a faster transfer", () => {
  test("loads, and the line is at its first speed after it", async () => {
    const made = world();
    const ran = await made.run("load", "two.yaml", "--yes", "--transfer-baud", "921600");
    expect([ran.exit, lastLine(ran.stdout), active(made)]).toEqual([0, LOADED, settingsHash(TWO)]);
    expect(made.device.state.baud).toBe(115_200);
  });
});

describe("check --watch", () => {
  test("checks at every save until interrupted; --json is one line for each", async () => {
    const made = world();
    const good = made.read("one.yaml");
    await import("#host/cli/settings/watch-file.ts");
    await made.run("check", "one.yaml");
    made.clock.after(1000, () => void made.write("one.yaml", good.replace("3500 rpm", "3500 psi")));
    made.clock.after(2000, () => void made.write("one.yaml", `${good}\n`));
    made.clock.after(3000, () => made.stop.abort());
    const ran = await made.run("check", "one.yaml", "--watch", "--json");
    const lines = ran.stdout
      .trim()
      .split("\n")
      .map((line) => JSON.parse(line) as { ok: boolean });
    expect(lines.map(({ ok }) => ok)).toEqual([true, false, true]);
    expect(ran.exit).toBe(0);
  });
});

test("a new file, and one that read writes, tell editors where the schema is", async () => {
  const made = world();
  await made.run("new", "fresh.yaml");
  await made.run("read", "--out", "held.yaml");
  for (const name of ["fresh.yaml", "held.yaml"])
    expect(made.read(name), name).toMatch(
      /^# yaml-language-server: \$schema=file:.*settings\.schema\.json$/m,
    );
});
