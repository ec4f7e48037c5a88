// Ladders of runs: none is driven after the first that spins, and one that spins is given up; an interruption leaves them out.
import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { AS_PLANNED } from "#host/bench/loop/conditions.ts";
import { USUAL_TOLERANCE } from "#host/bench/loop/tolerance.ts";
import { RampCrew } from "#host/cli/plan/ramp-crew.ts";
import { drivenLadder, type Ladder } from "#host/cli/plan/ramp-ladder.ts";
import { coreModuleFile } from "../../../support/core-module.ts";
import { demoEntry, flashWith } from "../../../support/driven.ts";

const entry = demoEntry();
const module = new WebAssembly.Module(new Uint8Array(readFileSync(coreModuleFile())));
const listed = [1.6, 1.5, 0.5, 0.4].map((gripShare) => ({ ...AS_PLANNED, gripShare }));
const ladder: Ladder = {
  job: {
    driven: { car: entry.car, driver: entry.driver, supply: entry.supply },
    settings: entry.settings,
    module,
    flash: flashWith(entry.settings).bytes,
    plan: {
      ...{ seed: 1, runs: listed.length, tolerance: USUAL_TOLERANCE, corners: false, listed },
      until: { distanceM: 100 },
      endsAtSpin: true,
    },
  },
  runs: [0, 1, 2, 3],
  untilSpin: true,
};

test("ends with the first run that spins, which is given up there", () => {
  const runs = drivenLadder(ladder);
  expect(runs.map(({ run }) => run)).toEqual([0, 1, 2]);
  expect(runs.map(({ overPeakS }) => overPeakS > 0)).toEqual([false, false, true]);
  expect(runs[2]!.overPeakS).toBeLessThan(0.002);
  expect(runs[0]!.sixtyFeetS).toBeGreaterThan(1);
});

test("a crew drives the same in this thread, and nothing once the user has interrupted", async () => {
  const stop = new AbortController();
  const crew = new RampCrew(1, stop.signal);
  const short = { ...ladder, runs: [2] };
  expect(await crew.drive(short)).toEqual(drivenLadder(short));
  stop.abort();
  expect(await crew.drive(short)).toEqual([]);
  await crew.end();
});
