// The released image on the emulated board: what both valves of a wet stage make of its pins' edges, pulsed, in patterns and open.
import { describe, expect, test } from "vitest";
import { TestBench } from "#host/bench/prove/test-bench.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import { openingUs } from "../../oracle/pulse-model.ts";
import type { Settings, Solenoid } from "../../oracle/settings.ts";
import { smallSettings } from "../../oracle/stand.ts";
import { Valve } from "../../oracle/valve.ts";
import { sample } from "../../support/effort.ts";
import { benchOptions } from "../../support/proving.ts";

const NITROUS: Solenoid = { opening10VUs: 14_000, opening12VUs: 11_000, opening14VUs: 9000, closingUs: 8000 };
const FUEL: Solenoid = { opening10VUs: 11_000, opening12VUs: 8000, opening14VUs: 7000, closingUs: 6000 };
/** Two periods of 50 ms make any pattern of up to two. */
const WHOLE_US = 300_000;

function settingsAt(share: number): Settings {
  return smallSettings((s) => {
    s.stages[0]!.nitrousSolenoid = NITROUS;
    s.stages[0]!.fuelSolenoid = FUEL;
    s.stages[0]!.ramps[0]!.points = [
      [0, share],
      [1, share],
    ];
  });
}

describe("both valves of a stage on the board, at 20 Hz", () => {
  test.each(sample([100, 150, 500, 830, 1000], 3))("make the same share at %i permille", async (share) => {
    const stand = new TestBench(settingsAt(share) as unknown as Document, benchOptions());
    await stand.start();
    stand.toFlow();
    stand.board.pins.forget();
    const fromNs = stand.nowNs;
    stand.board.runFor(2 * WHOLE_US + 10_000);
    const mv = (await stand.client.status()).batteryMv as number;
    const [nitrous, fuel] = ([NITROUS, FUEL] as const).map((solenoid, n) => {
      const valve = new Valve({ openingUs: openingUs(solenoid, mv), closingUs: solenoid.closingUs }, -1e6);
      const edges = stand.board.pins.edges(n === 0 ? "nitrous1" : "fuel1");
      valve.drive(share === 1000 || edges[0]?.level === 0, -1e6);
      const made = [WHOLE_US, 2 * WHOLE_US].map((us) => {
        const toNs = fromNs + us * 1000;
        for (const { ns, level } of edges)
          if (ns <= toNs && ns > toNs - WHOLE_US * 1000) valve.drive(level === 1, (ns - fromNs) / 1000);
        valve.pass(us);
        return valve.flowedUs;
      });
      return (made[1]! - made[0]!) / WHOLE_US;
    });
    expect(Math.abs(fuel! - share / 1000)).toBeLessThan(0.002);
    expect(nitrous! / fuel!).toBeLessThanOrEqual(1 + 1e-6);
    expect(nitrous! / fuel!).toBeGreaterThan(0.99);
  });
});
