// What both valves of a wet stage make, by valves with a state that know nothing of the controller's formula: never more nitrous than its fuel.
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { checkDocument } from "#shared-schema/settings/document.ts";
import { Mixture } from "../../oracle/mixture.ts";
import type { Settings, Solenoid } from "../../oracle/settings.ts";
import { smallSettings } from "../../oracle/stand.ts";
import { anyCase, valve } from "../../support/any-valves.ts";
import { smallDocument } from "../../support/documents.ts";
import { ALL } from "../../support/effort.ts";
import { FlowBench, type FlowCase } from "../../support/flow-bench.ts";
import { Random } from "../../support/random.ts";

const CASES = Number(process.env.HEADGATE_MIXTURES ?? (ALL ? 1_000_000 : 6_000));
/** Claimed: for each part of fuel, never more nitrous than this, and never less. */
const MOST = 1 + 1e-9;
const LEAST = 0.99;
/** Of a period, what the shortest counter step can be; shares are rounded to it. */
const SHARE_STEP = 2 / 25_000;
describe("nitrous and fuel of a wet stage", () => {
  test.each(["opening10VUs", "opening12VUs", "opening14VUs", "closingUs"] as const)(
    "may not flow alone for as long as an intake stroke where the window closes: %s",
    (time) => {
      const { closeRpm } = smallSettings().windows.engineSpeed!;
      const strokeUs = Math.floor(30e6 / closeRpm);
      for (const [slower, quicker] of [
        ["nitrousSolenoid", "fuelSolenoid"],
        ["fuelSolenoid", "nitrousSolenoid"],
      ] as const) {
        const refused = (apartUs: number): boolean => {
          const document = smallDocument() as unknown as Settings;
          const [stage] = document.stages;
          for (const name of Object.keys(stage![slower]!) as (keyof Solenoid)[]) {
            stage![slower]![name] = name === "closingUs" ? 9000 : 10_000;
            stage![quicker]![name] = stage![slower]![name];
          }
          stage![quicker]![time] -= apartUs;
          return checkDocument(document).some(({ rule }) => rule === "valves-apart");
        };
        expect(refused(strokeUs)).toBe(false);
        expect(refused(strokeUs + 1)).toBe(true);
      }
    },
  );

  test("both are pulsed where the slower valve could not close: 25 Hz, 18/15/13/8 ms and 9/7/6/5 ms, 70 %", () => {
    const bench = new FlowBench();
    const flow: FlowCase = {
      nitrous: { opening10VUs: 18_000, opening12VUs: 15_000, opening14VUs: 13_000, closingUs: 8000 },
      fuel: { opening10VUs: 9000, opening12VUs: 7000, opening14VUs: 6000, closingUs: 5000 },
      ...{ frequencyHz: 25, batteryMv: 12_000, sharePermille: 700 },
    };
    bench.set(flow);
    const { nitrous, fuel } = bench.make(flow);
    expect(nitrous).toBeGreaterThan(0.5);
    expect(nitrous / fuel).toBeLessThanOrEqual(MOST);
    expect(nitrous / fuel).toBeGreaterThanOrEqual(LEAST);
    expect(nitrous).toBeLessThanOrEqual(0.7 + SHARE_STEP);
  });

  test(`are in proportion in ${CASES} random cases of valves, voltage, frequency and share`, () => {
    const random = new Random(fc.readConfigureGlobal()?.seed ?? 1);
    const bench = new FlowBench();
    let [most, least, pulsed, off] = [0, 2, 0, 0];
    for (let i = 0; i < CASES; i++) {
      const flow = anyCase(random);
      bench.set(flow);
      const { nitrous, fuel } = bench.make(flow);
      if (nitrous === 0 && fuel === 0) continue;
      const ratio = nitrous / fuel;
      if (nitrous < 1) pulsed++;
      most = Math.max(most, ratio);
      least = Math.min(least, ratio);
      const over = nitrous < 1 ? nitrous - flow.sharePermille / 1000 : 0;
      off = Math.max(off, over);
      if (ratio > MOST || ratio < LEAST || over > SHARE_STEP)
        expect({ ...flow, made: { nitrous, fuel } }).toBe("in proportion");
    }
    process.stdout.write(
      `mixture: ${CASES} cases, ${pulsed} pulsed; nitrous for its fuel from ${least} to ${most}; at most ${off} over its share\n`,
    );
    expect(pulsed).toBeGreaterThan(CASES / 4);
  }, 1_800_000);

  test("are judged by the oracle: what one valve passes without the other is named", () => {
    const settings = smallSettings((s) => {
      s.stages[0]!.nitrousSolenoid = s.stages[0]!.fuelSolenoid = valve([9000, 9000, 9000], 8000);
    });
    const judged = (nitrousUs: number, fuelUs: number): string[] => {
      const mixture = new Mixture(settings, 0);
      const pulse = (pin: number, us: number) => [
        { pin, level: true, us: 1000 },
        { pin, level: false, us: 1000 + us },
      ];
      const edges = [...pulse(0, nitrousUs), ...pulse(1, fuelUs)];
      const named: string[] = [];
      for (let nowUs = 1000; nowUs <= 50_000; nowUs += 1000) {
        const now = edges.filter(({ us }) => us > nowUs - 1000 && us <= nowUs);
        named.push(...mixture.update(nowUs, now, 12_000, 1));
      }
      return named;
    };
    expect(judged(20_000, 20_000)).toEqual([]);
    expect(judged(20_050, 20_000)).toEqual(["stage 1: 40 us of nitrous without its fuel"]);
    expect(judged(20_000, 20_050)).toEqual(["stage 1: 40 us of fuel without its nitrous"]);
  });
});
