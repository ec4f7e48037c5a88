// `headgate load` against the device twin: the last line is always true, whatever goes wrong.
import { stripVTControlCharacters } from "node:util";
import { describe, expect, test } from "vitest";
import {
  LOADED,
  NONE_ACTIVE,
  NOT_CONFIRMED,
  NOT_LOADED,
  NOT_WHOLE,
  OLD_ACTIVE,
} from "#host/cli/load/verdict.ts";
import { decodeFrame } from "#host/link/frame.ts";
import { messageNamed } from "#host/link/message.ts";
import { exampleDocument } from "#host/settings/example.ts";
import { settingsBytes, settingsHash } from "#host/settings/hash.ts";
import { formatSettings } from "#host/settings/write.ts";
import type { World } from "../world.ts";
import { LOAD, NEW, OLD, world } from "./reload.ts";

const active = (made: World): "old" | "new" | "neither" => {
  const bytes = Buffer.from(made.device.state.settings ?? []);
  if (bytes.equals(settingsBytes(OLD))) return "old";
  return bytes.equals(settingsBytes(NEW)) ? "new" : "neither";
};

const lastLine = (text: string): string => text.trimEnd().split("\n").at(-1)!;

describe("a load that works", () => {
  test("ends in LOADED, closes its line, and the device holds the file", async () => {
    const made = world();
    const ran = await made.run(...LOAD);
    expect(ran.exit).toBe(0);
    expect(lastLine(ran.stdout)).toBe(LOADED);
    expect(active(made)).toBe("new");
    expect(made.wires.map((wire) => wire.closed)).toEqual([true]);
  });

  test("says which port it took and why, and what changes", async () => {
    const ran = await world().run(...LOAD);
    expect(ran.stderr).toContain("using /dev/ttyTest: the only serial adapter on USB");
    expect(ran.stderr).toMatch(/stages\.2\n {2}controller not there\n {2}file {7}there/);
  });

  test("progress in a pipe is a line for every tenth at most", async () => {
    const ran = await world().run(...LOAD);
    const lines = ran.stderr.split("\n").filter((line) => line.startsWith("write "));
    expect(lines.at(-1)).toBe("write 100 %");
    expect(lines.length).toBeLessThanOrEqual(11);
  });

  test("the same settings again are not written again", async () => {
    const made = world();
    await made.run(...LOAD);
    const ran = await made.run(...LOAD);
    expect(lastLine(ran.stdout)).toBe(LOADED);
    expect(made.device.state.stores).toBe(1);
  });

  test("--json: one document", async () => {
    const ran = await world().run(...LOAD, "--json");
    expect(ran.json()).toMatchObject({
      command: "load",
      ok: true,
      file: "car.yaml",
      board: "112233",
      hash: settingsHash(NEW),
      before: settingsHash(OLD),
      stored: { sequence: 1, slot: "B" },
      verdict: LOADED,
    });
  });
});

describe("--dry-run", () => {
  test("shows what changes, asks nothing, and writes neither settings nor a copy", async () => {
    const made = world();
    made.terminal = true;
    const ran = await made.run("load", "car.yaml", "--dry-run");
    expect(ran.exit).toBe(0);
    expect(stripVTControlCharacters(ran.stderr)).toMatch(/stages\.2/);
    expect(ran.stderr).not.toContain("Load car.yaml");
    expect(stripVTControlCharacters(ran.stdout)).toContain("nothing was written");
    expect(stripVTControlCharacters(lastLine(ran.stdout))).toBe(OLD_ACTIVE);
    expect(active(made)).toBe("old");
    expect((await made.run("history", "--json")).json()).toMatchObject({ copies: [] });
  });

  test("of an undo names the copy that would be put back", async () => {
    const made = world();
    await made.run(...LOAD);
    const ran = await made.run("undo", "--dry-run");
    expect(ran.exit).toBe(0);
    expect(ran.stderr).toContain(`would put back ${settingsHash(OLD)}`);
    expect(active(made)).toBe("new");
  });

  test("fails where the load would, at settings with an error", async () => {
    const made = world();
    made.write("bad.yaml", "settings: 5");
    expect((await made.run("load", "bad.yaml", "--dry-run")).exit).not.toBe(0);
  });
});

describe("the question", () => {
  test.each([
    ["yes", 0, "new"],
    ["y", 0, "new"],
    ["no", 1, "old"],
    ["", 1, "old"],
  ])("answered %j: exit %i, %s settings", async (answer, exit, which) => {
    const made = world();
    made.terminal = true;
    made.answer = answer;
    const ran = await made.run("load", "car.yaml");
    expect([ran.exit, active(made)]).toEqual([exit, which]);
    expect(stripVTControlCharacters(lastLine(ran.stdout))).toBe(exit === 0 ? LOADED : OLD_ACTIVE);
  });

  /** Keys as a terminal in raw mode sends them (ASCII ETX and EOT). */
  test.each([
    ["Ctrl-C", "\u0003", 130],
    ["Ctrl-D", "\u0004", 1],
  ])("%s at the question", async (_, key, exit) => {
    const made = world();
    made.terminal = true;
    made.answer = key;
    const ran = await made.run("load", "car.yaml");
    expect([ran.exit, lastLine(ran.stdout), active(made)]).toEqual([exit, OLD_ACTIVE, "old"]);
  });

  test("an input that ends counts as no", async () => {
    const made = world();
    made.terminal = true;
    made.answer = undefined;
    const ran = await made.run("load", "car.yaml");
    expect([ran.exit, lastLine(ran.stdout), active(made)]).toEqual([1, OLD_ACTIVE, "old"]);
  });

  test("refused on a controller without settings: it still has none", async () => {
    const made = world();
    made.device.state.settings = undefined;
    made.terminal = true;
    made.answer = "no";
    expect(lastLine((await made.run("load", "car.yaml")).stdout)).toBe(NONE_ACTIVE);
  });

  test("with nobody there it needs --yes", async () => {
    const made = world();
    const ran = await made.run("load", "car.yaml");
    expect([ran.exit, active(made)]).toEqual([64, "old"]);
    expect(ran.stderr).toContain("--yes");
  });
});

describe("a load that does not work leaves the old settings, and says so only where it has read them", () => {
  test.each<[string, string, number, (made: World) => void, string?]>([
    [
      "bad settings",
      "bad-settings",
      65,
      (w) => w.write("car.yaml", formatSettings(NEW).replace("3500 rpm", "3500")),
    ],
    ["no file", "no-file", 66, () => {}],
    ["no port", "no-port", 69, (w) => (w.ports = [])],
    [
      "two ports",
      "many-ports",
      64,
      (w) => (w.ports = [...w.ports, { path: "/dev/ttyTwo", vendorId: "1209" }]),
    ],
    ["silence", "silent", 69, (w) => (w.onWire = (wire) => (wire.damage = () => []))],
    ["armed", "not-off", 1, (w) => (w.device.state.off = false)],
    ["another schema", "schema-mismatch", 76, (w) => (w.device.state.fingerprint = 1)],
    ["another protocol", "protocol-mismatch", 76, (w) => (w.device.state.protocol = 9)],
    ["worn flash", "flash-failed", 1, (w) => (w.device.state.flashWorks = false), OLD_ACTIVE],
  ])("%s: %s", async (name, code, exit, spoil, verdict = NOT_LOADED) => {
    const made = world();
    spoil(made);
    const args = name === "no file" ? ["load", "gone.yaml", "--yes"] : LOAD;
    const ran = await made.run(...args);
    expect(ran.exit).toBe(exit);
    expect(ran.stderr).toContain(code);
    expect(lastLine(ran.stdout)).toBe(verdict);
    expect(active(made)).toBe("old");
    expect((await made.run(...args, "--json")).json()).toMatchObject({
      ok: false,
      error: { code, exit },
      verdict,
    });
  });

  test("nothing is sent for a bad file", async () => {
    const made = world();
    made.write("car.yaml", "version: 1\n");
    await made.run(...LOAD);
    expect(made.wires).toEqual([]);
  });

  test("the port vanishes in the middle: exit 74", async () => {
    const made = world();
    made.onWire = (wire) => {
      wire.watch = (sent) => sent > 400 && wire.unplug();
    };
    const ran = await made.run(...LOAD);
    expect(ran.exit).toBe(74);
    expect(lastLine(ran.stdout)).toBe(NOT_LOADED);
    expect(active(made)).toBe("old");
  });

  test("interrupted: exit 130", async () => {
    const made = world();
    made.onWire = (wire) => {
      wire.watch = (sent) => sent > 400 && made.stop.abort();
    };
    const ran = await made.run(...LOAD);
    expect([ran.exit, lastLine(ran.stdout), active(made)]).toEqual([130, NOT_LOADED, "old"]);
  });
});

describe("a line lost while the controller stores", () => {
  const toStore = (bytes: number[], direction: string): boolean =>
    direction === "toDevice" &&
    decodeFrame(Uint8Array.from(bytes.slice(0, -1)))?.kind === messageNamed("writeCommit").kind;

  /** The first wire breaks at the request to store, before or after it arrives; later wires work or do not. */
  function breaks(made: World, arrives: boolean, laterWorks: boolean): void {
    made.onWire = (wire) => {
      if (made.wires.length > 0) {
        if (!laterWorks) wire.damage = () => [];
        return;
      }
      wire.damage = (bytes, direction) => {
        if (!toStore(bytes, direction)) return [bytes];
        wire.damage = () => [];
        return arrives ? [bytes] : [];
      };
    };
  }

  test("stored, and asked again: LOADED", async () => {
    const made = world();
    breaks(made, true, true);
    const ran = await made.run(...LOAD);
    expect([ran.exit, lastLine(ran.stdout), active(made)]).toEqual([0, LOADED, "new"]);
  });

  test("stored with the number of a board that had none: it is told", async () => {
    const made = world();
    made.device.state.boardNumber = 0;
    breaks(made, true, true);
    const ran = await made.run(...LOAD, "--json");
    const board = made.device.state.boardNumber.toString(16).padStart(6, "0");
    expect(board).not.toBe("000000");
    expect(ran.json()).toMatchObject({ verdict: LOADED, numbered: true, board });
  });

  test("not stored, and asked again: NOT LOADED", async () => {
    const made = world();
    breaks(made, false, true);
    const ran = await made.run(...LOAD);
    expect([ran.exit, lastLine(ran.stdout), active(made)]).toEqual([75, OLD_ACTIVE, "old"]);
  });

  test("neither the old nor the new settings are there when it asks again: NOT WHOLE", async () => {
    const made = world();
    breaks(made, true, true);
    const first = made.onWire;
    made.onWire = (wire) => {
      first(wire);
      if (made.wires.length > 0) made.device.state.settings = [...settingsBytes(exampleDocument(3))];
    };
    const ran = await made.run(...LOAD);
    expect([ran.exit, lastLine(ran.stdout)]).toEqual([76, NOT_WHOLE]);
  });

  test("another board is there when it asks again: nothing is said of the first", async () => {
    const made = world();
    breaks(made, true, true);
    const first = made.onWire;
    made.onWire = (wire) => {
      first(wire);
      if (made.wires.length > 0) made.device.state.boardNumber = 0x445566;
    };
    const ran = await made.run(...LOAD);
    expect([ran.exit, lastLine(ran.stdout)]).toEqual([76, NOT_CONFIRMED]);
    expect(ran.stderr).toContain("board-changed");
  });

  test("nobody to ask: it says that it cannot know", async () => {
    const made = world();
    breaks(made, true, false);
    const ran = await made.run(...LOAD);
    expect([ran.exit, lastLine(ran.stdout)]).toEqual([75, NOT_CONFIRMED]);
    const said = ran.stderr.replace(/\s+/g, " ");
    expect(said).toContain(
      `do: reach the controller again and run headgate status: settings ${settingsHash(NEW)} are the new ones, ${settingsHash(OLD)} the old ones`,
    );
    expect(said).not.toMatch(/repeat the command|half written|try again/);
  });
});
