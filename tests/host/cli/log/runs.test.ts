// Runs driven on the emulated board, listed, pulled as a file and erased from the command line.

import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { ERASE_REMINDER } from "#host/cli/reminders.ts";
import { exampleDocument } from "#host/settings/example.ts";
import { formatSettings } from "#host/settings/write.ts";
import { FLASH } from "#shared-schema/model/blocks.ts";
import { BoardWorld, drive } from "../board-world.ts";

const settings = exampleDocument(1);

const world = new BoardWorld();
writeFileSync(join(world.folder, "car.yaml"), formatSettings(settings));
const empty = await world.run("runs");
const loaded = await world.run("load", "car.yaml", "--yes");
drive(world, settings);
drive(world, settings);

describe("headgate runs", () => {
  test("says so when there is none", () => {
    expect(empty.exit).toBe(0);
    expect(empty.stdout).toContain("the log is empty");
  });

  test("lists what was driven, with the settings that were loaded", async () => {
    expect(loaded.exit).toBe(0);
    const { runs } = (await world.run("runs", "--json")).json() as { runs: Record<string, unknown>[] };
    const { device } = (await world.run("status", "--json")).json() as { device: { settingsCrc: number } };
    expect(runs.map(({ run, complete, trip }) => [run, complete, trip])).toEqual([
      [1, true, ""],
      [2, true, ""],
    ]);
    for (const { seconds, settingsCrc } of runs) {
      expect(Number(seconds)).toBeGreaterThan(1);
      expect(Number(seconds)).toBeLessThan(2);
      expect(settingsCrc).toBe(device.settingsCrc);
    }
  });

  test.each([200, 40])("is a table that fits %i columns", async (columns) => {
    world.columns = columns;
    const { stdout } = await world.run("runs");
    world.columns = undefined;
    expect(stdout).toContain("its end");
    for (const line of stdout.split("\n")) expect(line.length).toBeLessThanOrEqual(columns);
  });
});

describe("headgate pull", () => {
  test("writes a file with units in its head line, every line as long, words for reasons and modes", async () => {
    const ran = await world.run("pull", "2", "--out", "run.csv", "--transfer-baud", "921600");
    expect(ran.exit).toBe(0);
    const [head = "", ...lines] = world.read("run.csv").trimEnd().split("\n");
    expect(head).toMatch(
      /^time \[s\],reasons,engine speed \[rpm\],road speed \[km\/h\],manifold \[kPa absolute\]/,
    );
    expect(ran.stdout).toContain(`${lines.length} records`);
    const modes = new Set(lines.map((line) => line.split(",")[head.split(",").indexOf("mode")]));
    expect([...modes]).toEqual(expect.arrayContaining(["arming", "armed", "off"]));
    expect(new Set([head, ...lines].map((line) => line.split(",").length)).size).toBe(1);
    expect(lines.some((line) => line.includes("WOT"))).toBe(true);
  });

  test("gives the same on stdout, and as numbers with --json", async () => {
    expect((await world.run("pull", "2")).stdout).toBe(world.read("run.csv"));
    const { records } = (await world.run("pull", "2", "--json")).json() as {
      records: Record<string, unknown>[];
    };
    expect(records[0]).toMatchObject({
      time: expect.any(Number),
      mode: "arming",
      engineSpeed: expect.any(Number),
    });
  });

  test("into a file that is there already fails before anything is read from the line", async () => {
    const before = world.read("run.csv");
    const ran = await world.run("pull", "9", "--out", "run.csv", "--json");
    expect(ran.json()).toMatchObject({ ok: false, error: { code: "file-exists" } });
    expect(world.read("run.csv")).toBe(before);
  });

  test("leaves a damaged page out and says so", async () => {
    const byte = FLASH.logStart + 3 * FLASH.page + 40;
    world.board.flash.bytes[byte]! ^= 1;
    const ran = await world.run("pull", "1");
    world.board.flash.bytes[byte]! ^= 1;
    expect(ran.stderr).toContain("1 damaged pages left out");
    expect(ran.exit).toBe(0);
  });

  test("of a run that is not there fails with its code", async () => {
    const ran = await world.run("pull", "9", "--json");
    expect(ran.exit).toBe(1);
    expect(ran.json()).toMatchObject({ ok: false, error: { code: "no-run" }, runs: [1, 2] });
  });
});

describe("headgate erase", () => {
  test("asks first; with --yes the log is empty after it", async () => {
    expect((await world.run("erase", "--json")).json()).toMatchObject({ error: { code: "needs-answer" } });
    const ran = await world.run("erase", "--yes");
    expect(ran.stderr.replace(/\s+/g, " ")).toContain(ERASE_REMINDER);
    expect(ran.stdout).toContain("the run log is empty");
    expect((await world.run("runs", "--json")).json()).toMatchObject({ runs: [] });
    expect(
      world.board.flash.bytes.subarray(FLASH.logStart, FLASH.logEnd).every((byte) => byte === 0xff),
    ).toBe(true);
  });

  test("does not say empty where something is left", async () => {
    const { board } = world;
    board.at(board.nowNs + 2e9, () => {
      board.flash.bytes[FLASH.logStart]! = 0x12;
    });
    const ran = await world.run("erase", "--yes", "--json");
    expect(ran.json()).toMatchObject({ ok: false, error: { code: "log-not-empty" } });
  });

  test("notices a restart in the middle", async () => {
    const { board } = world;
    board.flash.bytes[FLASH.logEnd - FLASH.sector] = 0;
    board.at(board.nowNs + 2e9, () => board.pullReset());
    const ran = await world.run("erase", "--yes", "--json");
    expect(ran.json()).toMatchObject({ ok: false, error: { code: "restarted" } });
  });
});
