// Faults of drivers and coils on the released image, at part of the flow: none is passed over as not shown.
import { expect, test } from "vitest";
import { scenariosOf } from "#host/bench/prove/catalogue.ts";
import { prove } from "#host/bench/prove/prove.ts";
import { benchOptions, PROVING } from "../../../support/proving.ts";

const LONGEST_MS = 300_000;
/** The first stage of the proving bench pulses all the time. */
const pulsed = scenariosOf("DRIVER").filter((each) => /^(nitrous|fuel)1/.test(each.fault));

test(
  "at part of the flow every one of them is shown and met in time",
  async () => {
    const findings = await prove(PROVING, { ...benchOptions(), scenarios: pulsed });
    expect(findings.map(({ fault, outcome, wrong }) => [fault, outcome, wrong])).toEqual(
      pulsed.map(({ fault }) => [fault, "passed", []]),
    );
  },
  LONGEST_MS,
);
