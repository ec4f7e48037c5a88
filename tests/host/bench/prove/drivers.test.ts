// Faults of drivers and coils on the released image, in pulses and wide open: some of them; in CI proof.test.ts proves all.
import { expect, test } from "vitest";
import { SCENARIOS, scenariosOf } from "#host/bench/prove/catalogue.ts";
import { isFitted, prove } from "#host/bench/prove/prove.ts";
import { ALL } from "../../../support/effort.ts";
import { benchOptions, PROVING } from "../../../support/proving.ts";

const LONGEST_MS = 300_000;
const EVERY = ALL ? 8 : 24;
/** The first stage of the proving bench pulses all the time, the others are wide open. */
const PINS = /^(nitrous1|fuel2)/;
const LATCHING = /after a lockout|charge pump/;
const scenarios = [
  ...[...scenariosOf("DRIVER"), ...scenariosOf("CLAMP")].filter(({ fault }) => PINS.test(fault)),
  ...SCENARIOS.filter(({ fault }) => LATCHING.test(fault)),
].filter((scenario, i) => i % EVERY === 0 && isFitted(scenario, PROVING));

test(
  "every one of them is shown and met in time",
  async () => {
    const findings = await prove(PROVING, { ...benchOptions(), scenarios });
    expect(findings.map(({ fault, outcome, wrong }) => [fault, outcome, wrong])).toEqual(
      scenarios.map(({ fault }) => [fault, "passed", []]),
    );
  },
  LONGEST_MS,
);
