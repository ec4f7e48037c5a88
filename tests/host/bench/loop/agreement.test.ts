// The core rig and the emulated board with the same car, senders and script: what they do agrees, with the same at their connectors and each with a car of its own.
import { describe, expect, test } from "vitest";
import { BoardController } from "#host/bench/loop/board-controller.ts";
import type { Connectors } from "#host/bench/loop/connectors.ts";
import type { Until } from "#host/bench/loop/drive.ts";
import { type Run, rehearse } from "#host/bench/loop/rehearse.ts";
import { launchScript } from "#host/bench/loop/script.ts";
import { QUARTER_MILE_M } from "#host/car/quarter-mile.ts";
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

/** Modes change no further apart; an opening waits for its stage's turn, one of four ticks, and for a pulse of the engine a turn before. */
const MODE_S = 0.002;
const OPENING_S = 0.008;
/** A window on engine speed is left at a pulse, two of which lie so far apart; one that misses the limit by its rounding leaves it to the next. */
const PULSE_S = 0.004;
/** Shares may differ by so much. */
const SHARE = 0.01;
const QUARTER_S = 0.01;

/** A dry car, the coupe of the docs, and the quickest; on other days the demo alone, for the first hundred metres. */
const CARS: readonly (readonly [string, () => Entry])[] = [
  ["the demo", demoEntry],
  ...(ALL ? [4, 8, 11] : []).map((n) => {
    const { name, text } = TWELVE_CARS[n]!;
    return [name, () => plannedEntry(text)] as const;
  }),
];
const UNTIL: Until = { distanceM: ALL ? QUARTER_MILE_M : 100 };

const modes = ({ said }: Run): { s: number; mode: string }[] =>
  said.filter(({ mode }, i) => mode !== said[i - 1]?.mode).map(({ s, mode }) => ({ s, mode }));

/** Samples are 2 ms apart. An opening comes up to two turns of four ticks later, and the share that follows it up to two turns after that. */
const FOUR_TURNS = Array.from({ length: 17 }, (_, i) => i - 8);

/**
 * By how much a stage's share at worst lies outside all that the other one had within four turns. What opened later and closes at
 * the same moment lacks what the share rises by in between, at so much a second.
 */
function worstShare(a: Run, b: Run, risePerS: number): number {
  let worst = 0;
  a.samples.forEach(({ asked }, i) => {
    asked.forEach((share, stage) => {
      const near = FOUR_TURNS.map((n) => b.samples[i + n]?.asked[stage] ?? share);
      const lacks = near.includes(0) ? OPENING_S * risePerS : 0;
      worst = Math.max(worst, share - Math.max(...near) - lacks, Math.min(...near) - share);
    });
  });
  return worst;
}

/** Everything that came to a controller's connectors, and another controller that it comes to again, whatever its car does. */
function recorder(): Record<"record" | "repeat", (connectors: Connectors) => void> {
  const steps: Connectors[] = [];
  let next = 0;
  return {
    record: (connectors) => void steps.push({ ...connectors, sensorsMv: connectors.sensorsMv.slice() }),
    repeat: (connectors) => {
      const step = steps[next++];
      if (!step) return;
      connectors.sensorsMv.set(step.sensorsMv);
      Object.assign(connectors, { ...step, sensorsMv: connectors.sensorsMv });
    },
  };
}

describe.each(CARS)("%s", (_, make) => {
  const entry = make();
  const run = { ...entry, script: launchScript(entry.settings), until: UNTIL };
  const { record, repeat } = recorder();
  const onBoard = (disturb?: (connectors: Connectors) => void): { image: Run; turn: number } => {
    const { board, ticks } = boardWith(entry.settings);
    const controller = new BoardController(board);
    const turn = ticks() % 4;
    return { image: rehearse({ ...run, controller, disturb }), turn };
  };
  const closed = onBoard();
  const controller = rigWith(flashWith(entry.settings), closed.turn);
  const core = rehearse({ ...run, controller, disturb: record });

  test("with the same at the connectors: modes and shares", () => {
    const { image } = onBoard(repeat);
    const [ours, theirs] = [modes(core), modes(image)];
    expect(ours.map(({ mode }) => mode)).toEqual(theirs.map(({ mode }) => mode));
    expect(ours.map(({ mode }) => mode)).toContain("flowing");
    ours.forEach(({ s, mode }, i) => {
      const most = { flowing: OPENING_S, armed: MODE_S + PULSE_S }[mode] ?? MODE_S;
      expect(Math.abs(s - theirs[i]!.s), `${mode} at ${s} s`).toBeLessThanOrEqual(most + 1e-9);
    });
    const { riseLimitPercentPerS } = entry.settings.flow as { riseLimitPercentPerS: number };
    expect(worstShare(core, image, riseLimitPercentPerS / 100)).toBeLessThanOrEqual(SHARE);
    expect(core.trips).toEqual(image.trips);
  });

  test("each with its own car: the same modes in a row, and the same time", () => {
    const { image } = closed;
    expect(modes(core).map(({ mode }) => mode)).toEqual(modes(image).map(({ mode }) => mode));
    expect(core.trips).toEqual(image.trips);
    const at = ALL ? "quarter" : "sixtyFeet";
    expect(Math.abs(core.slip[at]!.timeS - image.slip[at]!.timeS)).toBeLessThan(QUARTER_S);
  });
});
