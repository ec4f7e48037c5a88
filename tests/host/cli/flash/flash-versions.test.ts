// From the image of a past version to the released one: the real old image runs on the emulated board, with settings as it stored them.

import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { STARTED_US } from "#host/bench/board/boot.ts";
import { FLASH_REMINDER } from "#host/cli/reminders.ts";
import { decodeUf2 } from "#host/image/uf2.ts";
import { checkSettings } from "#host/settings/check.ts";
import { PAST_LAYOUTS, type PastLayout } from "#host/settings/past-layouts.ts";
import { FLASH as MAP } from "#shared-schema/model/blocks.ts";
import { interlockNumber } from "#shared-schema/model/interlocks.ts";
import { wordAt } from "#shared-schema/settings/words.ts";
import { slotBytes } from "../../../firmware/storage/scenarios.ts";
import { sample } from "../../../support/effort.ts";
import { RELEASED } from "../../../support/native-core.ts";
import { changesFrom, PRESENT_FULL, pastBlock, pastImage, pastText } from "../../settings/past-files.ts";
import { BoardWorld } from "../board-world.ts";
import { BootDisk } from "./boot-disk.ts";

const FLASH = ["flash", "--yes", "--volume", "disk", "--json"];
const present = checkSettings(PRESENT_FULL).document;
const released = decodeUf2(new Uint8Array(readFileSync(`${RELEASED}headgate.uf2`)));

const flat = (text: string): string => text.replace(/\s+/g, " ");

type Json = Record<string, unknown>;
interface Error {
  code: string;
  todo: string;
}

/** What the older images did not wait for. */
const PAST_PARTS = { crystalSteadyNs: 0, restBits: 0 };

/** A board of that version with a block in its first slot, started. */
function oldWorld({ version, fingerprint }: PastLayout, block = pastBlock(version)): BoardWorld {
  const world = new BoardWorld(pastImage(version), undefined, PAST_PARTS);
  world.board.powerOff();
  world.board.flash.bytes.set(slotBytes(block, 1, { fingerprint, layout: version }), MAP.slotA);
  world.board.powerOn();
  world.board.runFor(STARTED_US);
  return world;
}

async function statusOf(world: BoardWorld): Promise<{ device: Json; live: Record<string, number> }> {
  return (await world.run("status", "--json")).json() as { device: Json; live: Record<string, number> };
}

async function heldBy(world: BoardWorld): Promise<unknown> {
  return (await world.run("read", "--json")).json().settings;
}

const reasonsOf = async (world: BoardWorld, id: string): Promise<boolean> =>
  (((await statusOf(world)).live.reasons! >>> interlockNumber(id)) & 1) === 1;

/** The block with one more thing that the present version does not take: a throttle that opens the flow at 99 %. */
function tooFar(layout: PastLayout): Uint8Array {
  const block = pastBlock(layout.version).slice();
  const missing = layout.lacks.filter((path) => wordAt(path).index < OPENS_AT).length;
  new DataView(block.buffer).setUint16(2 * (OPENS_AT - missing), 990, true);
  return block;
}
const OPENS_AT = wordAt("throttle.position.opensAtPermille").index;

/** The last version whose limits reached further than the present ones. */
const WITH_WIDER_LIMITS = 2;

describe.each(sample(PAST_LAYOUTS, 4))("a controller of version $version", (layout) => {
  const { version } = layout;

  test("is refused by a load, which says what to do; nothing is written", async () => {
    const world = oldWorld(layout);
    writeFileSync(join(world.folder, "car.yaml"), PRESENT_FULL);
    const before = Buffer.from(world.board.flash.bytes);
    const ran = await world.run("load", "car.yaml", "--yes", "--json");
    const error = ran.json().error as Error;
    expect(error.code).toBe("schema-mismatch");
    expect(error.todo).toContain("headgate flash");
    expect(before.equals(world.board.flash.bytes)).toBe(true);
  });

  test("is flashed: settings copied in their version, brought up to date, every change told, loaded", async () => {
    const world = oldWorld(layout);
    new BootDisk(world);
    const ran = await world.run(...FLASH);
    expect(ran.json()).toMatchObject({ ok: true, verdict: "FLASHED", settingsKept: false });
    const { copy, loaded } = ran.json() as { copy: string; loaded: { migrated: string[] } };
    const text = readFileSync(copy, "utf8");
    expect(text).toMatch(new RegExp(`^version: ${version}$`, "m"));
    const { document, issues, migrated } = checkSettings(text);
    expect([document, issues, migrated]).toEqual([present, [], changesFrom(version)]);
    expect(loaded.migrated).toEqual(changesFrom(version));
    expect(await heldBy(world)).toEqual(present);
    expect(await reasonsOf(world, "SETTINGS")).toBe(false);
  });

  test("asks before the flash and before the load; a no to the second leaves the copy and the command for later", async () => {
    const world = oldWorld(layout);
    new BootDisk(world);
    world.answers = ["y", "n"];
    const ran = await world.run("flash", "--volume", "disk");
    expect(ran.stderr).toContain("Flash a board without a number? [y/N]");
    const said = ran.stderr.replace(/\s+/g, " ");
    expect(said.indexOf(FLASH_REMINDER)).toBeGreaterThanOrEqual(0);
    expect(said.indexOf(FLASH_REMINDER)).toBeLessThan(said.indexOf("[y/N]"));
    expect(ran.stderr.match(/\[y\/N\]/g)).toHaveLength(2);
    for (const change of changesFrom(version)) expect(flat(ran.stderr)).toContain(change);
    expect(flat(ran.stdout)).toContain("FLASHED, but no settings are active");
    const [, copy = ""] = /headgate load (\S+) loads them later/.exec(flat(ran.stderr)) ?? [];
    expect((await world.run("load", copy, "--yes")).exit).toBe(0);
    expect(await heldBy(world)).toEqual(present);
  });

  if (version <= WITH_WIDER_LIMITS)
    test("with something that needs a person: flashed, nothing loaded or bent, the place told, and it cannot arm", async () => {
      const world = oldWorld(layout, tooFar(layout));
      new BootDisk(world);
      const ran = await world.run(...FLASH);
      const { error, issues, verdict } = ran.json() as { error: Error; issues: object[]; verdict: string };
      expect(error.code).toBe("bad-settings");
      expect(issues).toMatchObject([
        { code: "wrong-version", field: "throttle.position.opens-at", got: "99 %" },
      ]);
      expect(verdict).toBe("FLASHED, but no settings are active: nothing can flow until you load some");
      expect((await statusOf(world)).device).toMatchObject({ slot: "none", slotNote: "wrongSchema" });
      await expectNoArming(world);
    });

  test("given another image by hand: says so, cannot arm; undo brings the kept copy up to date and loads it", async () => {
    const world = oldWorld(layout);
    world.board.powerOff();
    world.board.flash.bytes.set(released.bytes, 0);
    world.board.powerOn();
    world.board.runFor(STARTED_US);
    await expectNoArming(world);
    const said = async (): Promise<string> => flat((await world.run("status")).stdout);
    expect(await said()).toContain("none: the stored ones belong to another image");
    expect(await said()).toContain("load a settings file; a file of an older version is migrated");
    const { boardId } = (await statusOf(world)).device as { boardId: string };
    const folder = join(world.folder, "data", "copies", boardId);
    mkdirSync(folder, { recursive: true });
    writeFileSync(join(folder, "2026-04-01T10-00-00Z-00000001.yaml"), pastText(version, "full.yaml"));
    expect(await said()).toContain("headgate undo migrates the newest copy of this board");
    const before = Buffer.from(world.board.flash.bytes);
    expect((await world.run("undo", "--yes")).stderr).toContain("may be a copy of another one");
    expect(before.equals(world.board.flash.bytes)).toBe(true);
    const ran = await world.run("undo", "--yes", "--other-board", "--json");
    expect(ran.json()).toMatchObject({ ok: true, numbered: true, migrated: changesFrom(version) });
    expect(await heldBy(world)).toEqual(present);
  });
});

/** The arm switch goes off, on and off again, and the controller stays off, for want of settings. */
async function expectNoArming(world: BoardWorld): Promise<void> {
  for (const arm of [false, true]) {
    world.board.harness.setSwitch("arm", arm);
    world.board.runFor(700_000);
    const { device } = await statusOf(world);
    expect(device).toMatchObject({ mode: "off" });
  }
  expect(await reasonsOf(world, "SETTINGS")).toBe(true);
  world.board.harness.setSwitch("arm", false);
  world.board.runFor(10_000);
}
