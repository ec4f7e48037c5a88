// A run driven on the emulated board and replayed from the command line: with its own settings, with others, and what is refused.
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { chunkBytes, isChunk, piecesOf, SIGNATURE } from "#host/logbook/run-file/chunk.ts";
import { NOT_SHOWN } from "#host/replay/limits.ts";
import { OTHERWISE } from "#host/report/replay/text.ts";
import { exampleDocument } from "#host/settings/example.ts";
import { formatSettings } from "#host/settings/write.ts";
import { LOG_PAGE } from "#shared-schema/link/columns.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import { BoardWorld, drive } from "../board-world.ts";

const settings = exampleDocument(1);
const other = structuredClone(settings) as { windows: { engineSpeed: { openRpm: number } } };
other.windows.engineSpeed.openRpm += 300;

const world = new BoardWorld();
const write = (name: string, document: Document): void =>
  writeFileSync(join(world.folder, name), formatSettings(document));
write("car.yaml", settings);
write("other.yaml", other as unknown as Document);
await world.run("load", "car.yaml", "--yes");
drive(world, settings);

const flat = (text: string): string => text.replace(/\s+/g, " ");

describe("headgate replay", () => {
  test("the newest run, as the board has kept it tick by tick, is the same in every record", async () => {
    const { exit, stdout } = await world.run("replay", "last");
    expect(exit).toBe(0);
    expect(stdout).toContain("run 1:");
    expect(flat(stdout)).toContain("each the same in every byte");
    expect((await world.run("replay", "last", "--json")).json()).toMatchObject({ from: "ticks" });
  });

  test("with other settings the first line says that the car would have driven otherwise", async () => {
    const ran = await world.run("replay", "1", "--settings", "other.yaml");
    expect(ran.exit).toBe(0);
    expect(flat(ran.stdout).startsWith(OTHERWISE)).toBe(true);
    const { json } = await world.run("replay", "1", "--settings", "other.yaml", "--json");
    expect(json()).toMatchObject({
      caution: OTHERWISE,
      own: { same: true },
      other: { events: expect.any(Array) },
    });
  });

  test("after another load the settings of the run come from the copies, or from a file", async () => {
    await world.run("load", "other.yaml", "--yes");
    expect((await world.run("replay", "1", "--json")).json()).toMatchObject({ own: { same: true } });
    world.env = { HEADGATE_DATA: join(world.folder, "empty") };
    const refused = await world.run("replay", "1", "--recorded-with", "other.yaml", "--json");
    expect(refused.exit).toBe(1);
    expect(refused.json()).toMatchObject({ error: { code: "run-settings-unknown" } });
    const named = await world.run("replay", "1", "--recorded-with", "car.yaml", "--json");
    expect(named.json()).toMatchObject({ own: { same: true } });
    world.env = {};
  });

  test("a run file has all that it needs", async () => {
    expect((await world.run("pull", "1", "--out", "run.hgrun")).exit).toBe(0);
    const board = (await world.run("replay", "1", "--json")).json();
    expect((await world.run("replay", "run.hgrun", "--json")).json()).toEqual(board);
    expect((await world.run("replay", "no.hgrun", "--json")).json()).toMatchObject({
      error: { code: "no-file" },
    });
    expect((await world.run("replay", "car.yaml", "--json")).json()).toMatchObject({
      error: { code: "not-a-run-file" },
    });
  });

  test("a run without its beginning is refused", async () => {
    const whole = new Uint8Array(readFileSync(join(world.folder, "run.hgrun")));
    const chunks = piecesOf(whole).filter(isChunk);
    const first = chunks.findIndex(({ type }) => type === "PAGE");
    const left = chunks.filter((_, i) => i !== first).map(chunkBytes);
    writeFileSync(join(world.folder, "late.hgrun"), Buffer.concat([SIGNATURE, ...left]));
    const ran = await world.run("replay", "late.hgrun", "--json");
    expect(ran.json()).toMatchObject({ ok: false, error: { code: "run-cut" } });
  });

  test("a run that is not there, and none at all", async () => {
    expect((await world.run("replay", "9", "--json")).json()).toMatchObject({ error: { code: "no-run" } });
    await world.run("erase", "--yes");
    expect((await world.run("replay", "last", "--json")).json()).toMatchObject({ error: { code: "no-run" } });
  });

  test("a rehearsal that was kept is the same run in every record, and can be tried with other settings", async () => {
    const kept = await world.run("rehearse", "--until", "2.5s", "--noise", "--keep", "kept.hgrun", "--json");
    expect(kept.exit).toBe(0);
    const ran = await world.run("replay", "kept.hgrun");
    expect([ran.exit, flat(ran.stdout)]).toEqual([0, expect.stringContaining("each the same in every byte")]);
    const same = (await world.run("replay", "kept.hgrun", "--json")).json();
    expect(same).toMatchObject({ from: "ticks", own: { same: true } });
    expect(same.ticks).toBeGreaterThan(3000);
    const half = readFileSync("host/demo/street-coupe.yaml", "utf8").replace(
      "rise-limit: 300",
      "rise-limit: 100",
    );
    writeFileSync(join(world.folder, "half.yaml"), half);
    const other = await world.run("replay", "kept.hgrun", "--settings", "half.yaml");
    expect(flat(other.stdout)).toContain("taken for sound");
  });

  test("a kept rehearsal whose ticks are damaged is replayed from its records; what they cannot show is named", async () => {
    const bytes = readFileSync(join(world.folder, "kept.hgrun"));
    bytes[bytes.indexOf(Uint8Array.of(0x4c, 0x54, 0, LOG_PAGE.first | LOG_PAGE.piece)) + 100]! ^= 1;
    writeFileSync(join(world.folder, "hurt.hgrun"), bytes);
    const ran = await world.run("replay", "hurt.hgrun", "--json");
    expect(ran.json()).toMatchObject({ from: "records", own: { same: true } });
    expect(ran.stderr).toContain("are damaged");
    const { exit, stdout } = await world.run("replay", "hurt.hgrun");
    expect(exit).toBe(0);
    expect(stdout).toContain("The replay agrees with the run.");
    for (const id of ["RPM-JUMP", "DRIVELINE", "RPM-LOST", "DRIVER", "ADC", "KEEP-ALIVE"])
      expect(NOT_SHOWN.flatMap(({ ids }) => ids)).toContain(id);
    for (const { ids, why } of NOT_SHOWN) expect(flat(stdout)).toContain(`${ids.join(", ")} (${why})`);
    expect(flat(stdout)).toContain("noise at the arm switch");
  });

  test("only the core rig keeps", async () => {
    const ran = await world.run("rehearse", "--board", "--keep", "b.hgrun", "--json");
    expect(ran.json()).toMatchObject({ error: { code: "usage" } });
  });
});
