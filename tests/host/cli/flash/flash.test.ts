// `headgate flash` against an emulated board whose boot mode shows up as a folder that takes a UF2 file and vanishes.
import { mkdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { crc32c } from "#host/codec/crc32c.ts";
import { HEADER } from "#host/image/header.ts";
import { decodeUf2, encodeUf2 } from "#host/image/uf2.ts";
import { exampleDocument } from "#host/settings/example.ts";
import { settingsBytes } from "#host/settings/hash.ts";
import { formatSettings } from "#host/settings/write.ts";
import { FLASH as FLASH_MAP } from "#shared-schema/model/blocks.ts";
import { slotBytes } from "../../../firmware/storage/scenarios.ts";
import { RELEASED } from "../../../support/native-core.ts";
import { BoardWorld, dataOf } from "../board-world.ts";
import { World } from "../world.ts";
import { BootDisk, INFO } from "./boot-disk.ts";

const released = new Uint8Array(readFileSync(`${RELEASED}headgate.uf2`));

/** The released image with its bytes changed and its own check sum made right again, unless told otherwise. */
function changedImage(change: (bytes: Uint8Array, view: DataView) => void, sealed = true): Uint8Array {
  const { bytes, address } = decodeUf2(released);
  const view = new DataView(bytes.buffer);
  change(bytes, view);
  if (sealed) {
    view.setUint32(HEADER.crc, 0, true);
    view.setUint32(HEADER.crc, crc32c(bytes), true);
  }
  return encodeUf2(bytes, address);
}

/** All slow work on the slots is over. */
const STORING_US = 500_000;
/** A version before the released one. */
const OLDER = changedImage((_, view) => view.setUint32(HEADER.version, 0x0000_0102, true));

/** What a board keeps of one load, with the folder of that load. */
const loaded = new BoardWorld(Buffer.from(OLDER));
writeFileSync(join(loaded.folder, "car.yaml"), formatSettings(exampleDocument(2)));
expect((await loaded.run("load", "car.yaml", "--yes")).exit).toBe(0);
loaded.board.runFor(STORING_US);
const data = dataOf(loaded);

/** A board with settings in it, and its disk. */
function worldWith(image: Uint8Array): { world: BoardWorld; disk: BootDisk } {
  const world = new BoardWorld(Buffer.from(image), undefined, {}, data);
  return { world, disk: new BootDisk(world) };
}

/** Modes seen while the arm switch goes off, on, and off again. */
async function modesWhenArming(world: BoardWorld): Promise<string[]> {
  const seen = new Set<string>();
  for (const arm of [false, true, true, false]) {
    world.board.harness.setSwitch("arm", arm);
    world.board.runFor(700_000);
    const { device } = (await world.run("status", "--json")).json() as { device: { mode: string } };
    seen.add(device.mode);
  }
  return [...seen];
}

const FLASH = ["flash", "--yes", "--volume", "disk"];

describe("headgate flash", () => {
  test("restarts a running controller into its boot mode, writes, and finds the settings as they were", async () => {
    const { world } = worldWith(OLDER);
    const ran = await world.run(...FLASH, "--json");
    expect(ran.json()).toMatchObject({ ok: true, settingsKept: true, verdict: "FLASHED" });
    const { before, after } = ran.json() as Record<string, { imageVersion: string; settingsCrc: number }>;
    expect(before!.imageVersion).toBe("0.1.2");
    expect(after!.imageVersion).not.toBe(before!.imageVersion);
    expect(after!.settingsCrc).toBe(before!.settingsCrc);
  });

  test("--dry-run says what it would do and does nothing", async () => {
    const { world } = worldWith(OLDER);
    const ran = await world.run("flash", "--dry-run", "--volume", "disk");
    expect(ran.exit).toBe(0);
    expect(ran.stdout).toContain("would be restarted into its boot mode");
    expect((await world.run("status", "--json")).json()).toMatchObject({ device: { imageVersion: "0.1.2" } });
    expect(world.board.starts).toHaveLength(1);
  });

  test("asks before it restarts anything", async () => {
    const { world } = worldWith(OLDER);
    const ran = await world.run("flash", "--volume", "disk", "--json");
    expect(ran.json()).toMatchObject({
      error: { code: "needs-answer" },
      verdict: expect.stringMatching(/^NOT FLASHED/),
    });
    expect(world.board.starts).toHaveLength(1);
  });

  test("takes a board that is in its boot mode already", async () => {
    const { world } = worldWith(OLDER);
    await world.run(...FLASH, "--image", "nothing.uf2");
    world.board.powerOff();
    mkdirSync(join(world.folder, "disk"));
    writeFileSync(join(world.folder, "disk", "INFO_UF2.TXT"), INFO);
    world.board.at(world.board.nowNs + 1e9, () => {
      rmSync(join(world.folder, "disk"), { recursive: true });
      world.board.flash.bytes.set(decodeUf2(released).bytes);
      world.board.powerOn();
    });
    expect((await world.run(...FLASH, "--json")).json()).toMatchObject({ ok: true, before: null });
  });

  test("an error of the vanishing volume is no failure: the controller's answer decides", async () => {
    const { world, disk } = worldWith(OLDER);
    disk.anyway = released;
    const ran = await world.run(...FLASH);
    expect(ran.stderr).toMatch(/the volume is gone \([a-z ]+\)/);
    expect(ran.exit).toBe(0);
  });

  test("settings of another schema stay stored, and it says what to do", async () => {
    const { world } = worldWith(released);
    const other = changedImage((_, view) => view.setUint32(HEADER.fingerprint, 1, true));
    writeFileSync(join(world.folder, "other.uf2"), other);
    const ran = await world.run("flash", "--dry-run", "--image", "other.uf2");
    expect(ran.stderr.replace(/\s+/g, " ")).toContain(
      "A copy is kept; load a settings file with the tool that belongs to the image after the flash",
    );
  });
});

describe("whose answer it is", () => {
  /** Another board's boot mode: a disk that the controller on the line knows nothing of. */
  function strangeDisk(world: BoardWorld): string {
    const folder = join(world.folder, "disk");
    mkdirSync(folder);
    writeFileSync(join(folder, "INFO_UF2.TXT"), INFO);
    return folder;
  }

  test("a board that stays in its boot mode has not taken the image", async () => {
    const world = new BoardWorld(Buffer.from(released));
    world.board.powerOff();
    strangeDisk(world);
    expect((await world.run(...FLASH, "--json")).json()).toMatchObject({
      error: { code: "stays-in-boot", exit: 75 },
      verdict: expect.stringMatching(/^NOT CONFIRMED/),
    });
  });

  test("a controller that ran all the time is not the board that was flashed", async () => {
    const world = new BoardWorld(Buffer.from(released));
    const folder = strangeDisk(world);
    world.board.runFor(3_000_000);
    world.board.at(world.board.nowNs + 1e9, () => rmSync(folder, { recursive: true }));
    expect((await world.run(...FLASH, "--json")).json()).toMatchObject({
      error: { code: "not-restarted", exit: 76 },
      verdict: expect.stringMatching(/^NOT CONFIRMED/),
    });
  });

  test("a board with another number is not the one that was flashed", async () => {
    const { world, disk } = worldWith(OLDER);
    disk.spoil = (bytes) => {
      const other = slotBytes(settingsBytes(exampleDocument(2)), 1, { number: 0x445566 });
      world.board.flash.bytes.fill(0xff, FLASH_MAP.slotA);
      world.board.flash.bytes.set(other, FLASH_MAP.slotA);
      return bytes;
    };
    expect((await world.run(...FLASH, "--json")).json()).toMatchObject({ error: { code: "board-changed" } });
  });
});

/** A bit turned where the program itself never looks, so that it runs as before. */
const hurt = (bytes: Uint8Array): Uint8Array =>
  bytes.with(HEADER.fingerprint, bytes[HEADER.fingerprint]! ^ 1);

describe("an image that did not arrive whole", () => {
  test("is told apart: the controller answers, says so, and cannot arm", async () => {
    const { world, disk } = worldWith(OLDER);
    disk.spoil = hurt;
    expect(await modesWhenArming(world)).toContain("armed");
    const ran = await world.run(...FLASH, "--json");
    expect(ran.json()).toMatchObject({ error: { code: "image-differs" }, imageGood: false });
    expect(await modesWhenArming(world)).toEqual(["off"]);
  });

  test.each([
    ["a byte of it changed", () => changedImage((bytes) => bytes.fill(7, 9000, 9001), false)],
    ["a block missing", () => released.slice(512)],
    ["no image at all", () => new TextEncoder().encode("hello")],
  ])("in the file already, %s: nothing is written", async (_, make) => {
    const world = new BoardWorld();
    writeFileSync(join(world.folder, "bad.uf2"), make());
    const ran = await world.run(...FLASH, "--image", "bad.uf2", "--json");
    expect(ran.json()).toMatchObject({ error: { code: "bad-image" } });
    expect(world.board.starts).toHaveLength(1);
  });

  test("with no such file: nothing is written, and the name is to blame", async () => {
    const ran = await new BoardWorld().run(...FLASH, "--image", "none.uf2", "--json");
    expect(ran.json()).toMatchObject({ error: { code: "no-file", exit: 66 } });
  });
});

test("a boot mode that shows up as no volume is told, and nothing was written", async () => {
  const world = new BoardWorld();
  const ran = await world.run(...FLASH, "--json");
  expect(ran.json()).toMatchObject({
    error: { code: "no-volume", todo: expect.stringContaining("take the controller's power away") },
    verdict: expect.stringMatching(/^NOT FLASHED/),
  });
});

test("without a line to the controller the way by its button is told", async () => {
  const world = new World();
  world.ports = [];
  const ran = await world.run("flash", "--yes", "--json");
  const todo = expect.stringMatching(/headgate board.*hold the BOOTSEL button/);
  expect(ran.json()).toMatchObject({ error: { code: "no-port", todo } });
});

test("settings that do not read back as before are told", async () => {
  const { world, disk } = worldWith(OLDER);
  disk.spoil = (bytes) => {
    world.board.flash.bytes.fill(0xff, FLASH_MAP.slotA);
    return bytes;
  };
  expect((await world.run(...FLASH, "--json")).json()).toMatchObject({ error: { code: "settings-differ" } });
});

test("a volume of another kind of board is refused", async () => {
  const world = new BoardWorld();
  mkdirSync(join(world.folder, "disk"));
  writeFileSync(join(world.folder, "disk", "INFO_UF2.TXT"), INFO.replace("RPI-RP2", "OTHER-1"));
  expect((await world.run(...FLASH, "--json")).json()).toMatchObject({ error: { code: "other-volume" } });
});
