// The core rig and the emulated board with the same car, senders and script: what they do agrees, tick by tick.
import { expect, test } from "vitest";
import { BoardController } from "#host/bench/loop/board-controller.ts";
import type { Until } from "#host/bench/loop/drive.ts";
import { type Run, rehearse } from "#host/bench/loop/rehearse.ts";
import { launchScript } from "#host/bench/loop/script.ts";
import { EIGHTH_M, QUARTER_M } from "#host/bench/loop/time-slip.ts";
import {
  boardWith,
  demoEntry,
  type Entry,
  flashWith,
  plannedEntry,
  rigWith,
} from "../../../support/driven.ts";
import { ALL } from "../../../support/effort.ts";
import { TWELVE_CARS } from "../../plan/twelve-cars.ts";

/**
 * Modes may change so far apart, and shares differ by so much but at such moments. A millisecond at an opening moves the engine
 * a little, and a window is then crossed at another of its pulses: 8 ms at 3,700 rpm with two a revolution, and a turn of 4 ms.
 */
const MODE_S = 0.012;
const SHARE = 0.01;
const QUARTER_S = 0.01;

/** A dry car, the coupe of the docs, and the quickest; on other days the demo alone, to the eighth. */
const CARS: readonly (readonly [string, () => Entry])[] = [
  ["the demo", demoEntry],
  ...(ALL ? [4, 8, 11] : []).map((n) => {
    const { name, text } = TWELVE_CARS[n]!;
    return [name, () => plannedEntry(text)] as const;
  }),
];
const UNTIL: Until = { distanceM: ALL ? QUARTER_M : EIGHTH_M };

const modes = ({ said }: Run): { s: number; mode: string }[] =>
  said.filter(({ mode }, i) => mode !== said[i - 1]?.mode).map(({ s, mode }) => ({ s, mode }));

/** Samples, 2 ms apart, in which two modes may be apart. */
const APART = [-6, -5, -4, -3, -2, -1, 0, 1, 2, 3, 4, 5, 6];

/** By how much a stage's share at worst lies outside all that the other one had so near in time: it moves in steps, one in four ticks. */
function worstShare(a: Run, b: Run): number {
  let worst = 0;
  a.samples.forEach(({ asked }, i) => {
    asked.forEach((share, stage) => {
      const near = APART.map((n) => b.samples[i + n]?.asked[stage] ?? share);
      worst = Math.max(worst, share - Math.max(...near), Math.min(...near) - share);
    });
  });
  return worst;
}

test.each(CARS)("%s", (_, make) => {
  const entry = make();
  const run = { ...entry, script: launchScript(entry.settings), until: UNTIL };
  const { board, ticks } = boardWith(entry.settings);
  const controller = new BoardController(board);
  const core = rehearse({ ...run, controller: rigWith(flashWith(entry.settings), ticks() % 4) });
  const image = rehearse({ ...run, controller });
  const [ours, theirs] = [modes(core), modes(image)];
  expect(ours.map(({ mode }) => mode)).toEqual(theirs.map(({ mode }) => mode));
  expect(ours.map(({ mode }) => mode)).toContain("flowing");
  ours.forEach(({ s }, i) => {
    expect(Math.abs(s - theirs[i]!.s)).toBeLessThanOrEqual(MODE_S + 1e-9);
  });
  expect(worstShare(core, image)).toBeLessThanOrEqual(SHARE);
  expect(core.trips).toEqual(image.trips);
  const at = ALL ? "quarter" : "eighth";
  expect(Math.abs(core.slip[at]!.timeS - image.slip[at]!.timeS)).toBeLessThan(QUARTER_S);
});
