// Two controllers with the released image and one folder: each gets a number of its own at its first load, keeps it, and settings of one ask twice before they go into the other.
import { existsSync, readdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { exampleDocument } from "#host/settings/example.ts";
import { settingsBytes } from "#host/settings/hash.ts";
import { formatSettings } from "#host/settings/write.ts";
import { FLASH as MAP } from "#shared-schema/model/blocks.ts";
import { slotBytes } from "../../../firmware/storage/scenarios.ts";
import { BoardWorld } from "../board-world.ts";
import { BootDisk } from "../flash/boot-disk.ts";

const SAID = "this controller had no number yet; it is now ";

interface Device {
  readonly boardId: string;
  readonly slot: string;
  readonly settingsCrc: number;
}

async function deviceOf(world: BoardWorld): Promise<Device> {
  return (await world.run("status", "--json")).json().device as Device;
}

/** Two boards without settings or numbers, and a file for each of two cars in one folder. */
function twoBoards(): [BoardWorld, BoardWorld] {
  const first = new BoardWorld();
  writeFileSync(join(first.folder, "car.yaml"), formatSettings(exampleDocument(1)));
  writeFileSync(join(first.folder, "other.yaml"), formatSettings(exampleDocument(2)));
  return [first, new BoardWorld(undefined, first.folder)];
}

/** The board as it was left by an image that knew no numbers, with the settings of the first car. */
function unnumber(world: BoardWorld): void {
  const { board } = world;
  board.powerOff();
  board.flash.bytes.fill(0xff, MAP.slotA, MAP.bytes);
  board.flash.bytes.set(slotBytes(settingsBytes(exampleDocument(1)), 1), MAP.slotA);
  board.powerOn();
  board.runFor(500_000);
}

function restarted({ board }: BoardWorld): void {
  board.powerCycle(1);
  board.runFor(500_000);
}

describe("two boards", () => {
  test("a load numbers the first; the same file asks twice before it goes into the second, which gets another number", async () => {
    const [first, second] = twoBoards();
    expect((await deviceOf(first)).boardId).toBe("000000");
    const loaded = await first.run("load", "car.yaml", "--yes");
    const { boardId } = await deviceOf(first);
    expect(boardId).not.toBe("000000");
    expect(loaded.stdout).toContain(`${SAID}${boardId}`);

    const before = Buffer.from(second.board.flash.bytes);
    const refused = await second.run("load", "car.yaml", "--yes");
    expect([refused.exit, before.equals(second.board.flash.bytes)]).toEqual([64, true]);
    expect(refused.stderr).toContain("--other-board");
    second.answers = ["y", "n"];
    const asked = await second.run("load", "car.yaml");
    expect(asked.stderr.match(/\[y\/N\]/g)).toHaveLength(2);
    expect(asked.stderr).toContain(`last loaded into board ${boardId}`);
    expect(await deviceOf(second)).toMatchObject({ slot: "none", boardId: "000000" });

    second.answers = ["y", "y"];
    expect((await second.run("load", "car.yaml")).exit).toBe(0);
    const other = (await deviceOf(second)).boardId;
    expect([boardId, "000000"]).not.toContain(other);
    second.answers = [];
    expect((await second.run("load", "car.yaml", "--yes")).exit).toBe(0);
    expect((await first.run("load", "other.yaml", "--yes")).exit).toBe(0);
    expect((await first.run("load", "car.yaml", "--yes")).exit).toBe(64);
  });

  test("keep their copies apart, also the one of what lay on a board before it had its number", async () => {
    const [first, second] = twoBoards();
    for (const world of [first, second])
      for (const file of ["car.yaml", "other.yaml"])
        expect((await world.run("load", file, "--yes", "--other-board")).exit).toBe(0);
    const ids = [await deviceOf(first), await deviceOf(second)].map(({ boardId }) => boardId);
    expect(readdirSync(join(first.folder, "data", "copies")).sort()).toEqual(ids.sort());
  });
});

describe("a number", () => {
  test("stays over restarts, later loads, an erased run log and a new image; it is told once", async () => {
    const [world] = twoBoards();
    await world.run("load", "car.yaml", "--yes");
    const { boardId } = await deviceOf(world);
    restarted(world);
    const again = await world.run("load", "other.yaml", "--yes", "--json");
    expect(again.json()).toMatchObject({ numbered: false, board: boardId });
    expect((await world.run("erase", "--yes")).exit).toBe(0);
    expect((await deviceOf(world)).boardId).toBe(boardId);
    new BootDisk(world);
    const flashed = await world.run("flash", "--yes", "--volume", "disk", "--json");
    expect(flashed.json()).toMatchObject({ verdict: "FLASHED", settingsKept: true, board: boardId });
    restarted(world);
    expect((await deviceOf(world)).boardId).toBe(boardId);
  });

  test("is given by loading the very settings that a board without one holds", async () => {
    const [world] = twoBoards();
    await world.run("load", "car.yaml", "--yes");
    const { settingsCrc } = await deviceOf(world);
    unnumber(world);
    expect(await deviceOf(world)).toMatchObject({ boardId: "000000", settingsCrc });
    const ran = await world.run("load", "car.yaml", "--yes", "--other-board", "--json");
    const { board, numbered } = ran.json() as { board: string; numbered: boolean };
    expect(numbered).toBe(true);
    expect(await deviceOf(world)).toMatchObject({ boardId: board, settingsCrc });
    expect(existsSync(join(world.folder, "data", "copies", board))).toBe(true);
  });
});
