// The proof itself on the released image: all faults in CI, a spread-out sample of them elsewhere. Each is shown and passes in its time.
import { expect, test } from "vitest";
import { SCENARIOS } from "#host/bench/prove/catalogue.ts";
import { isFitted, prove } from "#host/bench/prove/prove.ts";
import { sample } from "../../../support/effort.ts";
import { benchOptions, PROVING } from "../../../support/proving.ts";

const EVERY = 79;
/** All of it takes a minute on one core. */
const LONGEST_MS = 600_000;
const scenarios = sample(
  SCENARIOS.filter((scenario) => isFitted(scenario, PROVING)),
  EVERY,
);

test(
  `${scenarios.length} faults are met in time, and nothing else is disturbed`,
  async () => {
    const findings = await prove(PROVING, { ...benchOptions(), scenarios });
    expect(findings.filter(({ outcome }) => outcome !== "passed")).toEqual([]);
    for (const { pinsUs, allowedUs } of findings)
      if (allowedUs !== undefined) expect(pinsUs ?? 0).toBeLessThanOrEqual(allowedUs);
  },
  LONGEST_MS,
);
