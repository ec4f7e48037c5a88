// The gate between catalogue and proof: no row that works without a fault, no fault without a row, and the proving bench shows all.
import { describe, expect, test } from "vitest";
import { ROW_IDS, SCENARIOS, scenariosOf } from "#host/bench/prove/catalogue.ts";
import { flowPoint } from "#host/bench/prove/point.ts";
import { isFitted } from "#host/bench/prove/prove.ts";
import { proofSettings } from "#host/bench/prove/settings.ts";
import { INTERLOCKS } from "#shared-schema/model/interlocks.ts";
import { valueAt } from "#shared-schema/settings/enabled.ts";
import { PROVING } from "../../../support/proving.ts";

describe("catalogue and proof", () => {
  test("every row has a fault, and every fault a row", () => {
    expect([...new Set(SCENARIOS.map(({ row }) => row))].sort()).toEqual(
      INTERLOCKS.map(({ id }) => id).sort(),
    );
  });

  test.each(ROW_IDS)(
    "%s: no two faults have the same words, and the proving bench shows at least one",
    (id) => {
      const faults = scenariosOf(id).map(({ fault }) => fault);
      expect(new Set(faults).size).toBe(faults.length);
      expect(scenariosOf(id).some((scenario) => isFitted(scenario, PROVING))).toBe(true);
    },
  );

  test("what a row's `enabledBy` names is there on the proving bench, at one stage at least", () => {
    const missing = INTERLOCKS.flatMap(({ enabledBy }) => enabledBy).filter((path) => {
      const paths = [0, 1, 2, 3].map((s) => path.replace("stages.0", `stages.${s}`));
      return !paths.some((each) => valueAt(PROVING, each) !== undefined);
    });
    expect(missing).toEqual([]);
  });

  test("settings that can flow nowhere are told so, not proved", () => {
    const settings = proofSettings(PROVING);
    const windows = {
      ...settings.windows,
      roadSpeed: { openDeciKmh: 5000, closeDeciKmh: 5900, hysteresisDeciKmh: 5 },
    };
    expect(() => flowPoint({ ...settings, windows })).toThrow("no place was found");
  });
});
