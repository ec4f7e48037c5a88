// Loads that do not kick, on the released image: named and locked out where the clamps are watched, left alone where they are not.
import { expect, test } from "vitest";
import { column } from "#host/bench/prove/board-client.ts";
import { atPartOfFlow } from "#host/bench/prove/part-of-flow.ts";
import { TestBench } from "#host/bench/prove/test-bench.ts";
import { INTERLOCKS, MODES } from "#shared-schema/model/interlocks.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import { ALL } from "../../../support/effort.ts";
import { benchOptions, PROVING } from "../../../support/proving.ts";

const LONGEST_MS = 120_000;
const CHANNEL = 2;
const SIX_PERIODS_US = 300_000;

/** Mode, trip and its value after a lamp took the place of a coil under flow, in pulses. */
async function withLamp(document: Document): Promise<unknown[]> {
  const bench = new TestBench(atPartOfFlow(document), benchOptions());
  await bench.start();
  expect(bench.toFlow()).toBe(true);
  bench.board.runFor(SIX_PERIODS_US);
  expect(MODES[column(await bench.client.status(), "mode")]).toBe("flowing");
  bench.board.harness.drivers.faults[CHANNEL] = "lamp";
  bench.board.runFor(SIX_PERIODS_US);
  const live = await bench.client.status();
  return [MODES[column(live, "mode")], INTERLOCKS[column(live, "trip")]?.id, column(live, "tripValue")];
}

test(
  "a lamp in the place of a coil locks out where the clamps are watched, and is named",
  async () => {
    expect(await withLamp(PROVING)).toEqual(["locked", "CLAMP", CHANNEL + 1]);
  },
  LONGEST_MS,
);

test.runIf(ALL)(
  "it flows on where they are not",
  async () => {
    const { clamps: _, ...unwatched } = PROVING;
    expect((await withLamp(unwatched)).slice(0, 2)).toEqual(["flowing", undefined]);
  },
  LONGEST_MS,
);
