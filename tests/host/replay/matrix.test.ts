// Trips of the fault matrix replayed from the records that the core has stored of them: what does not come out again is named as what records cannot show.
import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { pullRun } from "#host/logbook/runs.ts";
import { bestTurn } from "#host/replay/best-turn.ts";
import { beginsWithArming } from "#host/replay/from-records.ts";
import { excuseFor } from "#host/replay/limits.ts";
import { recordedRun } from "#host/replay/recorded.ts";
import { INTERLOCKS } from "#shared-schema/model/interlocks.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import type { Car } from "../../oracle/car.ts";
import type { Settings } from "../../oracle/settings.ts";
import { modeOf, ticks } from "../../oracle/stand.ts";
import { coreModuleFile } from "../../support/core-module.ts";
import { flashWith } from "../../support/driven.ts";
import { ALL } from "../../support/effort.ts";
import { singleFaults } from "../../support/fault-matrix.ts";
import { FlashLog } from "../../support/flash-log.ts";
import { STATES } from "../../support/machine-states.ts";
import { PROVING } from "../../support/proving.ts";

const NO_TRIP = 255;
const WATCH_TICKS = 200;
const AFTER_TICKS = 600;

const settings = PROVING as unknown as Settings;
const recordedWith = PROVING as unknown as Document;
const module = new WebAssembly.Module(new Uint8Array(readFileSync(coreModuleFile())));
const replay = { module, flash: flashWith(recordedWith), recordedWith };
const cases = singleFaults(settings).flatMap((fault) => STATES.map((state) => ({ fault, state })));
const chosen = cases.filter((_, i) => i % (ALL ? 13 : 67) === 5);

const tripOf = (number: number): string => (number === NO_TRIP ? "" : INTERLOCKS[number]!.id);

/** What tripped in a run and in its replay; undefined where there is no trip, no record of how the run began, or a lockout, in which nothing is stored. */
async function trips(car: Car): Promise<{ recorded: string; replayed: string } | undefined> {
  ticks(car, WATCH_TICKS);
  car.set("arm", false);
  ticks(car, AFTER_TICKS);
  if (modeOf(car) !== "off") return undefined;
  const log = new FlashLog(car.rig);
  log.settle();
  const info = log.now();
  if (info.run === 0) return undefined;
  const records = recordedRun((await pullRun(log, info, info.run)).samples);
  const recorded = records.map(({ trip }) => trip).find((trip) => trip !== NO_TRIP);
  if (recorded === undefined || !beginsWithArming(records)) return undefined;
  const replayed = bestTurn(replay, records)
    .said.map(({ trip }) => trip)
    .find((trip) => trip !== NO_TRIP);
  return { recorded: tripOf(recorded), replayed: tripOf(replayed ?? NO_TRIP) };
}

test("trips come out again, or are of a kind that a replay from records names", async () => {
  const found: string[] = [];
  let again = 0;
  for (const { fault, state } of chosen) {
    const car = state.reach(settings);
    fault.apply(car);
    const both = await trips(car);
    if (!both) continue;
    if (both.recorded === both.replayed) again++;
    else if (!excuseFor([both.recorded]))
      found.push(`${fault.name}, ${state.name}: ${both.recorded}, not ${both.replayed}`);
  }
  process.stdout.write(`${again} trips of ${chosen.length} faults come out again from records\n`);
  expect(found).toEqual([]);
  expect(again).toBeGreaterThan(0);
});
