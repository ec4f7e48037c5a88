// Run files of which pages are missing: what is whole of the ticks is replayed, it is the same run, and nothing that is missing counts as a difference.
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { fc, test } from "@fast-check/vitest";
import { expect } from "vitest";
import { CoreRig } from "#host/bench/core/rig.ts";
import { readRunFile } from "#host/logbook/run-file/run-file.ts";
import { runOf } from "#host/logbook/runs.ts";
import { decodeTicksPage } from "#host/logbook/ticks-page.ts";
import { piecesOf } from "#host/replay/exact/pieces.ts";
import { compareRecords, pairsOf, type RecordPair, replayedRows } from "#host/replay/exact/records.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import { CORE, demoEntry, flashWith } from "../../support/driven.ts";
import { runs } from "../../support/effort.ts";
import { World } from "../cli/world.ts";

const world = new World();
await world.run("rehearse", "--until", "8s", "--noise", "--keep", "kept.hgrun");
const { pages } = readRunFile(readFileSync(join(world.folder, "kept.hgrun")));
const isTicks = (page: Uint8Array): boolean => decodeTicksPage(page) !== undefined;
const [ticks, records] = [pages.filter(isTicks), pages.filter((page) => !isTicks(page))];
const { settings } = demoEntry();
const flash = flashWith(settings);

const ticksIn = (of: readonly Uint8Array[]): number =>
  piecesOf(of).reduce((sum, piece) => sum + piece.ticks.length, 0);

function replayed(of: readonly Uint8Array[], on = flash): RecordPair[] {
  const rig = new CoreRig(CORE, on);
  rig.start();
  const { samples, lostPages } = runOf(of);
  return pairsOf(samples, replayedRows(rig, piecesOf(of)), lostPages > 0);
}

test("the whole run has several pieces, and its replay all records but the first", () => {
  expect(piecesOf(ticks).length).toBeGreaterThan(1);
  const pairs = replayed(pages);
  expect(pairs.length).toBeGreaterThan(900);
  expect(compareRecords(pairs)).toEqual({ same: pairs.length, first: undefined });
});

test("each piece by itself is the same run", () => {
  const begins = ticks.flatMap((page, n) => (decodeTicksPage(page)!.begins ? [n] : []));
  begins.forEach((from, i) => {
    const pairs = replayed([...records, ...ticks.slice(from, begins[i + 1])]);
    expect(pairs.length).toBeGreaterThan(100);
    expect(compareRecords(pairs).first).toBeUndefined();
  });
});

test("other settings give other records", () => {
  const slower = { ...settings, flow: { ...(settings.flow as object), riseLimitPercentPerS: 100 } };
  const { first } = compareRecords(replayed(pages, flashWith(slower as unknown as Document)));
  expect(first?.columns.length).toBeGreaterThan(0);
});

test.prop(
  [
    fc.uniqueArray(fc.nat(ticks.length - 1), { maxLength: 3 }),
    fc.uniqueArray(fc.nat(records.length - 1), { maxLength: 2 }),
  ],
  runs(10),
)("without some of its pages what is left is the same run", (noTicks, noRecords) => {
  const left = [
    ...records.filter((_, i) => !noRecords.includes(i)),
    ...ticks.filter((_, i) => !noTicks.includes(i)),
  ];
  const pairs = replayed(left);
  expect(compareRecords(pairs).first).toBeUndefined();
  const recordsLeft = ticksIn(ticks.filter((_, i) => !noTicks.includes(i))) / 10;
  expect(pairs.length).toBeGreaterThan(recordsLeft - 30 * (noRecords.length + 1) - 5 * noTicks.length);
});

test("cut behind any page it keeps all ticks that ended before, but for the last", () => {
  for (let n = 0; n < ticks.length; n += 11) {
    const begin = ticks.slice(0, n + 1).findLastIndex((page) => decodeTicksPage(page)!.begins);
    const before = ticksIn(ticks.slice(0, begin));
    const ended = before + decodeTicksPage(ticks[n]!)!.ticks;
    const kept = ticksIn(ticks.slice(0, n + 1));
    expect(kept).toBeLessThanOrEqual(ended);
    expect(kept).toBeGreaterThanOrEqual(Math.max(before, ended - 1));
  }
});
