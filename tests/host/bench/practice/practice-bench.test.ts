// The board to practise on, in virtual time: hands make it arm, flow, trip and refuse as a real one would; words without sense change nothing.
import { existsSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { fc, test as property } from "@fast-check/vitest";
import { describe, expect, test } from "vitest";
import { boardLine } from "#host/bench/board-line.ts";
import { readFlashFile, writeFlashFile } from "#host/bench/practice/flash-file.ts";
import { storedSettings } from "#host/bench/practice/stored-settings.ts";
import { VERBS, WIRES } from "#host/bench/practice/verbs.ts";
import { LinkClient } from "#host/link/client.ts";
import { pack } from "#shared-schema/settings/pack.ts";
import { runs, sample } from "../../../support/effort.ts";
import { RELEASED } from "../../../support/native-core.ts";
import { TestPractice } from "./bench.ts";

/** Damage, and what shuts everything because of it. */
const FAULTS = [
  ["wire manifold open", "SENSOR"],
  ["wire engine open", "RPM-LOST"],
  ["driver nitrous1 open", "DRIVER"],
  ["fuel 1bar", "FUEL-LOW"],
  ["bottle 600psi", "BOTTLE-LOW"],
  ["battery 9V", "BATT-LOW"],
] as const;

describe("hands", () => {
  test("arm, flow, and off again by the arm switch", async () => {
    const practice = new TestPractice();
    expect([practice.mode, practice.flowing]).toEqual(["off", 0]);
    await practice.flow();
    expect([practice.mode, practice.flowing > 0]).toEqual(["flowing", true]);
    expect(practice.bench.car.motion.speedMS).toBeGreaterThan(0);
    await practice.do("arm off", 50);
    expect([practice.mode, practice.flowing, practice.reasons.includes("ARM")]).toEqual(["off", 0, true]);
  });

  test.each(sample(FAULTS, 6))(
    "%s while it flows shuts everything by %s, and mended it flows again",
    async (words, row) => {
      const practice = new TestPractice();
      await practice.flow();
      await practice.do(words, 400);
      expect([practice.flowing, [...practice.reasons, practice.trip]]).toEqual([
        0,
        expect.arrayContaining([row]),
      ]);
      await practice.do("mend");
      // A driver that failed locks the controller out until its supply was off.
      await practice.do("power off", 20);
      await practice.do("power on");
      await practice.do("line", 1500);
      await practice.flow();
      expect(practice.flowing).toBeGreaterThan(0);
    },
  );

  test("without settings it cannot arm, and says so", async () => {
    const practice = new TestPractice(false);
    await practice.do("arm on", 400);
    expect([practice.mode, practice.reasons]).toEqual(["off", expect.arrayContaining(["SETTINGS"])]);
  });

  test("a launch is driven to its end, no hand is in the way, and the flash that it leaves is handed out to be kept", async () => {
    const practice = new TestPractice();
    const over = practice.do("run 1s");
    practice.bench.runFor(100_000);
    await expect(practice.do("pedal 0%")).rejects.toMatchObject({ code: "usage" });
    while (practice.bench.driving) practice.bench.runFor(10_000);
    expect(await over).toContain("1 s after go");
    expect([practice.mode, practice.bench.car.motion.speedMS]).toEqual(["off", 0]);
    const kept = storedSettings(practice.kept!)!;
    expect(pack(kept.document)).toEqual(pack(practice.bench.settings));
  });

  test("power off and on, and the reset button", async () => {
    const practice = new TestPractice();
    await practice.do("power off", 20);
    expect(practice.bench.board.powered).toBe(false);
    await practice.do("reset", 20);
    expect(practice.bench.board.powered).toBe(false);
    await practice.do("power on", 300);
    const before = practice.bench.board.starts.length;
    await practice.do("reset", 300);
    expect([practice.mode, practice.bench.board.starts.length]).toEqual(["off", before + 1]);
  });

  test("the cable comes out and goes in", async () => {
    const practice = new TestPractice();
    await practice.do("cable out");
    expect(practice.cable.plugged).toBe(false);
    await practice.do("cable in");
    expect(practice.cable.plugged).toBe(true);
  });
});

describe("words without sense", () => {
  const practice = new TestPractice();
  const state = (): unknown => {
    const { car, board } = practice.bench;
    const { faults } = board.harness.drivers;
    return [car.controls, [...car.held], [...car.wires], [...faults], board.harness.relay.fault];
  };
  const word = fc.constantFrom(
    "arm",
    "on",
    "wire",
    "driver",
    "5V",
    "open",
    "-3 V",
    "1e9rpm",
    "11,5V",
    "\u001b[2J",
    "",
  );
  const sane = new Set(["arm on", "reset", "line", "mend", "show"]);

  property.prop([fc.array(word, { minLength: 1, maxLength: 3 })], runs(100))(
    "change nothing",
    async (words) => {
      fc.pre(!sane.has(words.join(" ")));
      const before = state();
      await expect(practice.do(words.join(" "))).rejects.toMatchObject({ code: "usage" });
      expect(state()).toEqual(before);
    },
  );

  test("each verb is refused without its word, but for those that take none", async () => {
    for (const { name, takes } of VERBS.filter((verb) => verb.name !== "run"))
      if (takes === "") await practice.do(name);
      else await expect(practice.do(name), name).rejects.toMatchObject({ code: "usage" });
  });

  test("each wire takes each of its words", async () => {
    for (const name of Object.values(WIRES).flat())
      for (const state of ["open", "good"])
        expect(await practice.do(`wire ${name} ${state}`)).toContain(name);
    await expect(practice.do("wire arm 5V")).rejects.toMatchObject({ code: "usage" });
  });
});

describe("flash", () => {
  test("a file of another length is refused and left as it is; a kept one comes back", () => {
    const { folder } = new TestPractice(false);
    const path = join(folder, "f.bin");
    expect(readFlashFile(path)).toBeUndefined();
    writeFileSync(path, "notes");
    expect(() => readFlashFile(path)).toThrow(expect.objectContaining({ code: "bad-flash-file" }));
    expect(readFileSync(path, "utf8")).toBe("notes");
    const bytes = new Uint8Array(0x200000).fill(7);
    writeFlashFile(path, bytes);
    expect(Buffer.from(readFlashFile(path)!).equals(bytes)).toBe(true);
  });

  test("in its boot mode there is a volume that takes an image and vanishes; half a file is waited for", async () => {
    const practice = new TestPractice();
    const { bench, folder } = practice;
    const volume = join(folder, "volume");
    const image = readFileSync(`${RELEASED}headgate.uf2`);
    const line = boardLine(bench.board);
    const client = new LinkClient(line, { clock: line.clock });
    await client.request("restart", { target: 1 });
    await client.close();
    bench.runFor(300_000);
    expect(readFileSync(join(volume, "INFO_UF2.TXT"), "utf8")).toContain("RPI-RP2");
    writeFileSync(join(volume, "headgate.uf2"), image.subarray(0, 5120));
    bench.runFor(300_000);
    expect(bench.board.inBootloader).toBe(true);
    writeFileSync(join(volume, "headgate.uf2"), image);
    bench.runFor(800_000);
    expect([existsSync(volume), practice.mode]).toEqual([false, "off"]);
  });
});
