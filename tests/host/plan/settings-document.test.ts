/** Settings of a plan pass the check, keep the plan's ramps exactly, and stay under the limit of tyres and parts. */
import { beforeAll, describe, expect, test } from "vitest";
import type { PlanInput } from "#host/plan/input/plan-input.ts";
import { loadCar } from "#host/plan/input/resolve.ts";
import { settingsOf } from "#host/plan/settings-document.ts";
import type { SystemPlan } from "#host/plan/system-plan.ts";
import { exampleDocument } from "#host/settings/example.ts";
import { checkDocument } from "#shared-schema/settings/document.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import { sample } from "../../support/effort.ts";
import { planOfText } from "./planned.ts";
import { TWELVE_CARS } from "./twelve-cars.ts";

const all: { control: PlanInput["control"]; plan: SystemPlan; document: Document }[] = [];
beforeAll(() => {
  for (const { text } of sample(TWELVE_CARS, 4)) {
    const loaded = loadCar(text);
    if (!loaded.ok) throw new Error(loaded.errors[0]!.message);
    const plan = planOfText(text);
    const { input } = loaded;
    all.push({ control: input.control, plan, document: settingsOf(input, plan) });
  }
}, 60_000);

interface StoredStage {
  readonly kind: string;
  readonly portionPermille: number;
  readonly longestMs: number;
  readonly ramps: readonly {
    readonly over: string;
    readonly points: readonly (readonly [number, number])[];
  }[];
}
const stagesOf = (document: Document) => document.stages as readonly StoredStage[];

describe("settings of twelve cars", () => {
  test("all pass form, limits and rules", () => {
    for (const { plan, document } of all)
      expect([plan.name, checkDocument(document)]).toEqual([plan.name, []]);
  });

  test("what needs no sensor is watched: the clamps, and jumps of the engine's speed", () => {
    const { clamps, engine } = exampleDocument(1, ["clamps", "engine.jump"]);
    for (const { document } of all) {
      expect(document.clamps).toEqual(clamps);
      expect((document.engine as Document).jump).toEqual((engine as Document).jump);
    }
  });

  test("no accessory is switched by the controller that the car file does not leave to it", () => {
    for (const { document } of all) {
      expect(document.purge).toBeUndefined();
      expect(document.heater).toBeUndefined();
      expect(document.bottleValve).toBeUndefined();
    }
  });

  test("where the road speed sender is goes into the settings", () => {
    for (const { control, document } of all) {
      const road = document.road as { sender: string } | undefined;
      expect(road?.sender).toBe(control.pulsesPerM === undefined ? undefined : control.roadSender);
    }
  });

  test("the stored ramp is the planned one: device steps lose nothing", () => {
    const counts = { "road-speed": 36, launch: 1000, "engine-speed": 1 };
    for (const { plan, document } of all) {
      for (const [i, stored] of stagesOf(document).entries()) {
        expect(stored.ramps[0]!.over).toBe(plan.axis);
        for (const [k, [at, share]] of stored.ramps[0]!.points.entries()) {
          const [plannedAt, plannedShare] = plan.stages[i]!.ramp[k]!;
          expect(at / counts[plan.axis]).toBeCloseTo(plannedAt, 5);
          expect(share / 1000).toBeCloseTo(plannedShare, 9);
        }
      }
    }
  });

  test("portions add up, kinds match, and a stage's time covers the planned flow", () => {
    for (const { plan, document } of all) {
      const stages = stagesOf(document);
      expect(Math.abs(stages.reduce((sum, s) => sum + s.portionPermille, 0) - 1000)).toBeLessThanOrEqual(
        stages.length,
      );
      const flowing = plan.trace.filter((row) => row.share > 0).map((row) => row.timeS);
      for (const stage of stages) {
        expect(stage.kind).toBe(plan.kind);
        expect(stage.longestMs / 1000).toBeGreaterThan(flowing.at(-1)! - flowing[0]!);
      }
    }
  });
});

describe("accessories that the controller switches", () => {
  const withControls = (words: string): string =>
    TWELVE_CARS[2]!.text.replace(/^controls: \{/m, `controls: {bottle-sensor: yes, ${words}, `);
  const switched = (): { plan: SystemPlan; document: Document } => {
    const text = withControls("purge: yes, heater: yes, bottle-valve: yes");
    const loaded = loadCar(text);
    if (!loaded.ok) throw new Error(loaded.errors[0]!.message);
    const plan = planOfText(text);
    return { plan, document: settingsOf(loaded.input, plan) };
  };

  test("have their settings, by the plan's own numbers, and pass the rules", () => {
    const { plan, document } = switched();
    expect(checkDocument(document)).toEqual([]);
    const purge = document.purge as { longestMs: number; eachMinuteMs: number };
    const { pressS, kgS, lineM3 } = plan.accessories.purge;
    expect(purge.longestMs / 1000).toBeGreaterThan(pressS);
    expect(purge.longestMs / 1000).toBeLessThan(1.5 * pressS + 0.21);
    expect(purge.eachMinuteMs).toBe(2 * purge.longestMs);
    expect(kgS * pressS).toBeGreaterThan(lineM3 * 600);
    const heater = document.heater as { onBelowKpaGauge: number; offAtKpaGauge: number; longestS: number };
    const bottle = document.bottle as { lowestKpaGauge: number; highestKpaGauge: number };
    expect(heater.onBelowKpaGauge).toBeGreaterThan(bottle.lowestKpaGauge);
    expect(heater.offAtKpaGauge).toBeLessThanOrEqual(bottle.highestKpaGauge - 100);
    expect(heater.longestS).toBeGreaterThanOrEqual(plan.bottle.warmUpS);
    expect(document.bottleValve).toEqual({ opensWithinMs: 2000 });
  });

  test("a heater or a bottle valve without a bottle sensor is refused, by its name", () => {
    for (const name of ["heater", "bottle-valve"]) {
      const loaded = loadCar(withControls(`${name}: yes`).replace("bottle-sensor: yes", "bottle-sensor: no"));
      expect(loaded.ok ? [] : loaded.errors.map(({ path }) => path)).toContain(`controls.${name}`);
    }
    expect(loadCar(withControls("purge: yes").replace("bottle-sensor: yes", "bottle-sensor: no")).ok).toBe(
      true,
    );
  });
});
