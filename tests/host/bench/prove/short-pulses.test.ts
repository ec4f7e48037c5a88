// Settings under which solenoids pulse: a fault that strikes between two pulses still strikes while it flows.
import { expect, test } from "vitest";
import { SCENARIOS } from "#host/bench/prove/catalogue.ts";
import { prove } from "#host/bench/prove/prove.ts";
import { sample } from "../../../support/effort.ts";
import { benchOptions, PROVING, STREET } from "../../../support/proving.ts";

const FAULTS = /while the main loop hangs|an extra pulse between any two/;
const LONGEST_MS = 300_000;

test(
  "the demo car meets them",
  async () => {
    const both = SCENARIOS.filter(({ fault }) => FAULTS.test(fault));
    expect(both).toHaveLength(2);
    const scenarios = sample(both, 2);
    const findings = await prove(STREET, { ...benchOptions(), scenarios });
    expect(findings.map(({ fault, wrong, outcome }) => [fault, wrong, outcome])).toEqual(
      scenarios.map(({ fault }) => [fault, [], "passed"]),
    );
  },
  LONGEST_MS,
);

test("a stage that only pulses is seen to rise again after wheelspin", async () => {
  const [stage] = PROVING.stages as [unknown];
  const scenarios = SCENARIOS.filter(({ row }) => row === "DRIVELINE").map((all) => ({ ...all, trials: 2 }));
  const [finding] = await prove({ ...PROVING, stages: [stage] }, { ...benchOptions(), scenarios });
  expect(finding).toMatchObject({ wrong: [], outcome: "passed" });
});
