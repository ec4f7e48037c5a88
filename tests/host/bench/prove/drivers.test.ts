// Faults of drivers and coils on the released image, in pulses and wide open: none is passed over as not shown.
import { expect, test } from "vitest";
import { SCENARIOS, scenariosOf } from "#host/bench/prove/catalogue.ts";
import { isFitted, prove } from "#host/bench/prove/prove.ts";
import { ALL } from "../../../support/effort.ts";
import { benchOptions, PROVING } from "../../../support/proving.ts";

const LONGEST_MS = 300_000;
/** The first stage of the proving bench pulses all the time, the others are wide open: of these, all in CI. */
const PINS = ALL ? /^(nitrous|fuel)\d/ : /^(nitrous1|fuel1|fuel2|nitrous4)/;
const scenarios = scenariosOf("DRIVER").filter(
  (scenario) => PINS.test(scenario.fault) && isFitted(scenario, PROVING),
);
test(
  "in pulses and wide open every one of them is shown and met in time",
  async () => {
    const findings = await prove(PROVING, { ...benchOptions(), scenarios });
    expect(findings.map(({ fault, outcome, wrong }) => [fault, outcome, wrong])).toEqual(
      scenarios.map(({ fault }) => [fault, "passed", []]),
    );
  },
  LONGEST_MS,
);

const LATCHING = /after a lockout|charge pump/;

test(
  "a lockout outlives a trap and a hang, and a pump that holds at either level of its pin is found",
  async () => {
    const latching = SCENARIOS.filter(({ fault }) => LATCHING.test(fault));
    expect(latching).toHaveLength(4);
    const findings = await prove(PROVING, { ...benchOptions(), scenarios: latching });
    expect(findings.map(({ fault, outcome, wrong }) => [fault, outcome, wrong])).toEqual(
      latching.map(({ fault }) => [fault, "passed", []]),
    );
  },
  LONGEST_MS,
);
