// The looks at the drivers on the released image with coils of several kinds: what they do at the pins, and that they accuse no sound coil.
import { describe, expect, test } from "vitest";
import { Coil } from "#host/bench/board/outside/coil.ts";
import type { Edge } from "#host/bench/board/pins.ts";
import { column } from "#host/bench/prove/board-client.ts";
import { SOLENOID_PINS, TestBench } from "#host/bench/prove/test-bench.ts";
import { withValues } from "#host/bench/prove/variants.ts";
import { GAP_US, TRY_US } from "#shared-schema/model/blocks.ts";
import { MODES } from "#shared-schema/model/interlocks.ts";
import { gpioOf } from "#shared-schema/model/pins.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import { sample } from "../../../support/effort.ts";
import { benchOptions, PROVING } from "../../../support/proving.ts";

const LONGEST_MS = 120_000;
const LOOKS_US = 50_000;
/** A look, three more after it, and the relay. */
const FOUND_US = 2 * LOOKS_US + 20_000;
/** [ohm, henry] */
const COILS = [
  [1.5, 0.008],
  [1.5, 0.02],
  [4, 0.03],
  [6, 0.03],
  [6, 0.06],
] as const;

async function started(document: Document = PROVING): Promise<TestBench> {
  const bench = new TestBench(document, benchOptions());
  await bench.start();
  return bench;
}

async function modeOf(bench: TestBench): Promise<string> {
  return MODES[column(await bench.client.status(), "mode")]!;
}

function pairs(edges: readonly Edge[], level: 0 | 1): { fromNs: number; us: number }[] {
  return edges.flatMap((edge, i) => {
    const next = edges[i + 1];
    return edge.level === level && next ? [{ fromNs: edge.ns, us: (next.ns - edge.ns) / 1000 }] : [];
  });
}

const configured = (n: number): boolean => {
  const stage = (PROVING.stages as Record<string, unknown>[])[n >> 1];
  return stage !== undefined && (n % 2 === 0 || stage.fuelSolenoid !== undefined);
};
const USED = SOLENOID_PINS.filter((_, n) => configured(n));

describe("at arming", () => {
  test(
    "each configured pin is high once, half a millisecond at most, never two at once, others never",
    async () => {
      const bench = await started();
      bench.cycleArm();
      bench.board.pins.forget();
      bench.board.runFor(140_000);
      expect(await modeOf(bench)).toBe("armed");
      const tries = USED.map((name) => pairs(bench.board.pins.edges(name), 1));
      for (const each of tries) {
        expect(each.length).toBe(1);
        expect(each[0]!.us).toBeLessThanOrEqual(TRY_US);
        expect(each[0]!.us).toBeGreaterThan(TRY_US - 20);
      }
      const starts = tries.map(([only]) => only!.fromNs).sort((a, b) => a - b);
      for (let i = 1; i < starts.length; i++) expect(starts[i]! - starts[i - 1]!).toBeGreaterThan(3e6);
      for (const name of SOLENOID_PINS.filter((each) => !USED.includes(each)))
        expect(bench.board.pins.edges(name)).toEqual([]);
    },
    LONGEST_MS,
  );

  test(
    "not with a valve that could notice",
    async () => {
      const quick = withValues({
        "stages.0.nitrousSolenoid.opening14VUs": 1400,
        "stages.0.fuelSolenoid.opening14VUs": 1400,
      })(PROVING);
      const bench = await started(quick);
      bench.cycleArm();
      bench.board.pins.forget();
      bench.board.runFor(140_000);
      expect(await modeOf(bench)).toBe("armed");
      for (const name of SOLENOID_PINS) expect(bench.board.pins.edges(name)).toEqual([]);
    },
    LONGEST_MS,
  );
});

describe("wide open", () => {
  const OPEN = "nitrous2";
  const CHANNEL = SOLENOID_PINS.indexOf(OPEN);

  test.each(sample(COILS, 2))(
    "a coil of %d ohm and %d H is accused of nothing, keeps its current, and is missed when it is unplugged",
    async (ohm, henry) => {
      const bench = await started();
      const { drivers } = bench.board.harness;
      for (let n = 0; n < drivers.coils.length; n++) drivers.coils[n] = new Coil(ohm, henry);
      expect(bench.toFlow()).toBe(true);
      bench.board.runFor(100_000);
      bench.board.pins.forget();
      const settled = bench.board.harness.batteryMv / ohm;
      let least = settled;
      for (let us = 0; us < 400_000; us += 500) {
        bench.board.runFor(500);
        drivers.drainMv(CHANNEL);
        least = Math.min(least, drivers.coils[CHANNEL]!.mA);
      }
      expect(await modeOf(bench)).toBe("flowing");
      const gaps = pairs(bench.board.pins.edges(OPEN), 0);
      expect(gaps.length).toBeGreaterThanOrEqual(400_000 / LOOKS_US - 1);
      for (const { us } of gaps) expect(us).toBeLessThanOrEqual(GAP_US);
      expect(least).toBeLessThan(0.95 * settled);
      expect(least).toBeGreaterThan(0.4 * settled);
      drivers.faults[CHANNEL] = "unplugged";
      bench.board.runFor(FOUND_US);
      expect(await modeOf(bench)).toBe("locked");
      expect(bench.board.pins.level(gpioOf(OPEN))).toBe(0);
    },
    LONGEST_MS,
  );
});
