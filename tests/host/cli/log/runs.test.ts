// Runs driven on the emulated board, listed, pulled as a file and erased from the command line.

import { readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { ERASE_REMINDER } from "#host/cli/reminders.ts";
import { csvOf } from "#host/logbook/csv.ts";
import type { Digest } from "#host/logbook/digest.ts";
import { readRunFile } from "#host/logbook/run-file/run-file.ts";
import { runOf } from "#host/logbook/runs.ts";
import { decodeTicksPage } from "#host/logbook/ticks-page.ts";
import { exampleDocument } from "#host/settings/example.ts";
import { settingsBytes } from "#host/settings/hash.ts";
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

  test("reads each run once, for its peaks and how it ended, and remembers when it was first seen", async () => {
    const first = await world.run("runs", "--json");
    rmSync(join(world.folder, "data", "runs"), { recursive: true });
    const quick = await world.run("runs", "--quick");
    expect(quick.stdout).toContain("?");
    expect(quick.stderr).not.toContain("read ");
    world.now = new Date("2026-05-02T08:00:00Z");
    const again = await world.run("runs", "--json");
    expect(again.stderr).toContain("read 100 %");
    expect(again.json()).toEqual(first.json());
    expect((await world.run("runs")).stderr).not.toContain("read ");
    const { runs } = again.json() as { runs: { firstSeen: string; digest: Digest }[] };
    for (const { firstSeen, digest } of runs) {
      expect(firstSeen).toBe("2026-05-01T10:20:30.000Z");
      expect(digest).toMatchObject({ trips: [], lastMode: "off" });
      expect(digest.peakRpm).toBeGreaterThan(3000);
      expect(digest.flowingS).toBeLessThan(1);
    }
  });

  test("lists what damaged memory of them still allows", async () => {
    const folder = join(world.folder, "data", "runs");
    for (const name of readdirSync(folder)) writeFileSync(join(folder, name), "{");
    expect((await world.run("runs")).stdout).toMatch(/^1 .* off /m);
  });

  test("does not call a log empty whose pages cannot be read", async () => {
    const log = world.board.flash.bytes.subarray(FLASH.logStart, FLASH.logEnd);
    const before = log.slice();
    for (let page = 0; page < log.length; page += FLASH.page) log[page]! &= 0x12;
    const ran = await world.run("runs");
    log.set(before);
    expect(ran.stdout).toContain("no run can be read");
    expect(ran.stdout).not.toContain("empty:");
  });

  test.each([200, 40])("is a table that fits %i columns", async (columns) => {
    world.columns = columns;
    const { stdout } = await world.run("runs");
    world.columns = undefined;
    expect(stdout).toContain("off");
    for (const line of stdout.split("\n")) expect(line.length).toBeLessThanOrEqual(columns);
  });
});

describe("headgate pull", () => {
  test("writes a file of numbers with units in its head line", async () => {
    const ran = await world.run("pull", "2", "--out", "run.csv", "--transfer-baud", "921600");
    expect(ran.exit).toBe(0);
    const [head = "", ...lines] = world.read("run.csv").trimEnd().split("\r\n");
    const titles = head.split(",");
    expect(head).toMatch(/^time \[s\],engine speed \[rpm\],road speed \[km\/h\],manifold \[kPa absolute\]/);
    expect(ran.stdout).toContain(`${lines.length} records`);
    const column = (title: string): Set<string | undefined> =>
      new Set(lines.map((line) => line.split(",")[titles.indexOf(title)]));
    const key = titles.find((title) => title.startsWith("mode ["))!;
    expect(key).toContain("5=arming");
    expect([...column(key)]).toEqual(expect.arrayContaining(["0", "1", "5"]));
    expect([...column("reason WOT")].sort()).toEqual(["0", "1"]);
  });

  test("gives the same on stdout, and words with --json", async () => {
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

  test("last into a run file keeps pages, settings, who recorded it, car file and note", async () => {
    writeFileSync(join(world.folder, "coupe.yaml"), "name: Invented coupe\n");
    const keep = ["--car", "coupe.yaml", "--note", "13.42 s, dry, 21 C"];
    const ran = await world.run("pull", "last", "--out", "run.hgrun", ...keep);
    expect(ran.exit).toBe(0);
    const file = readRunFile(readFileSync(join(world.folder, "run.hgrun")));
    expect(file).toMatchObject({ lacks: [], car: "name: Invented coupe\n", note: "13.42 s, dry, 21 C" });
    expect(file.facts).toMatchObject({ run: 2, pulled: world.now.toISOString() });
    expect(Buffer.from(file.settings!.block).equals(settingsBytes(settings))).toBe(true);
    expect(csvOf(runOf(file.pages, 2).samples)).toBe(world.read("run.csv"));
    const log = Buffer.from(world.board.flash.bytes.subarray(FLASH.logStart, FLASH.logEnd));
    const isOfTicks = (page: Uint8Array): boolean => decodeTicksPage(page)?.run === 2;
    const kinds = [file.pages.filter((page) => !isOfTicks(page)), file.pages.filter(isOfTicks)];
    for (const pages of kinds) {
      const at = log.indexOf(pages[0]!);
      expect(log.subarray(at, at + FLASH.page * pages.length).equals(Buffer.concat(pages))).toBe(true);
    }
  });

  test("keeps the settings of a run out of the copies when others are in force by now", async () => {
    const others = exampleDocument(2);
    writeFileSync(join(world.folder, "others.yaml"), formatSettings(others));
    expect((await world.run("load", "others.yaml", "--yes", "--weaken")).exit).toBe(0);
    await world.run("pull", "1", "--out", "older.hgrun");
    const { settings: kept } = readRunFile(readFileSync(join(world.folder, "older.hgrun")));
    expect(Buffer.from(kept!.block).equals(settingsBytes(settings))).toBe(true);
    rmSync(join(world.folder, "data", "copies"), { recursive: true });
    const ran = await world.run("pull", "1", "--out", "without.hgrun");
    expect(ran.stdout.replace(/\s+/g, " ")).toContain("the settings of this run are not in the file");
    expect(readRunFile(readFileSync(join(world.folder, "without.hgrun"))).settings).toBeUndefined();
  });

  test.each([
    ["on stdout", ["--note", "dry"], "--car and --note"],
    ["in values", ["--out", "x.csv", "--note", "dry"], "--car and --note"],
    ["in a run file", ["--out", "x.hgrun", "--note", "x".repeat(70_000)], "longer than"],
  ])("with more than there is room for %s is refused", async (_, words, what) => {
    const ran = await world.run("pull", "1", ...words, "--json");
    expect(ran.json()).toMatchObject({
      ok: false,
      error: { code: "usage", what: expect.stringContaining(what) },
    });
  });

  test("into a file that is there already fails before anything is read from the line", async () => {
    const before = world.read("run.csv");
    const ran = await world.run("pull", "9", "--out", "run.csv", "--json");
    expect(ran.json()).toMatchObject({ ok: false, error: { code: "file-exists" } });
    expect(world.read("run.csv")).toBe(before);
  });

  test("leaves a damaged page out and says so", async () => {
    const byte = FLASH.logStart + FLASH.page + 40;
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
  test("--dry-run says how many runs would go, and leaves them", async () => {
    const ran = await world.run("erase", "--dry-run");
    expect(ran.stdout.replace(/\s+/g, " ")).toContain("2 runs would be erased; nothing was erased");
    expect((await world.run("runs", "--quick", "--json")).json()).toMatchObject({
      runs: [{ run: 1 }, { run: 2 }],
    });
  });

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
