// A fault that struck and could not be shown stays on no bench on which another one is tried: that one would pass, or fail, by it.
import { expect, test } from "vitest";
import { setDriver } from "#host/bench/prove/faults-drivers.ts";
import { whileFlowing } from "#host/bench/prove/flow-trial.ts";
import { prove } from "#host/bench/prove/prove.ts";
import { NotShown, type Scenario } from "#host/bench/prove/scenario.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import { smallSettings } from "../../../oracle/stand.ts";
import { benchOptions } from "../../../support/proving.ts";

const settings = smallSettings() as unknown as Document;

const struck = whileFlowing({
  row: "DRIVER",
  fault: "strikes, and does not show",
  apply: setDriver(0, "clamp-shorted"),
  causeNs: () => {
    throw new NotShown();
  },
});

/** Passes on a bench without any fault. */
const sound: Scenario = {
  row: "DRIVER",
  fault: "none",
  trials: 1,
  run: async ({ board }) => ({ wrong: board.harness.drivers.faults.filter((fault) => fault !== "none") }),
};

test("the next fault finds everything whole", async () => {
  const findings = await prove(settings, { ...benchOptions(), scenarios: [struck, sound] });
  expect(findings.map(({ outcome, wrong }) => [outcome, wrong])).toEqual([
    ["not shown", []],
    ["passed", []],
  ]);
});
