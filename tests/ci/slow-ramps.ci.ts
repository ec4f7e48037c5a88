// Ramps that take seconds: the way back is waited for as long as the first way up took.
import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { SCENARIOS } from "#host/bench/prove/catalogue.ts";
import { prove } from "#host/bench/prove/prove.ts";
import { checkSettings } from "#host/settings/check.ts";
import { benchOptions } from "../support/proving.ts";

const QUICK = "[[0 s, 0 %], [0.25 s, 20 %], [1.4 s, 70 %], [2.2 s, 100 %]]";
const SLOW = "[[0 s, 0 %], [4.3 s, 0 %], [4.5 s, 100 %]]";
const LONGEST_MS = 300_000;

test(
  "a stage that opens four seconds after the launch is proved",
  async () => {
    const text = readFileSync("host/demo/street-coupe.yaml", "utf8");
    expect(text).toContain(QUICK);
    const { document } = checkSettings(text.replace(QUICK, SLOW));
    const scenarios = SCENARIOS.filter(({ fault }) => fault === "arm switch off, or its wire open");
    const findings = await prove(document!, { ...benchOptions(), scenarios });
    expect(findings.map(({ wrong, outcome }) => [wrong, outcome])).toEqual([[[], "passed"]]);
  },
  LONGEST_MS,
);
