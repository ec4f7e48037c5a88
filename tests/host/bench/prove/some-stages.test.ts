// Settings in which not every stage can flow at one place: what flows is proved there, and what never shows is not called a failure.
import { expect, test } from "vitest";
import { SCENARIOS } from "#host/bench/prove/catalogue.ts";
import { prove } from "#host/bench/prove/prove.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import type { Settings, Stage } from "../../../oracle/settings.ts";
import { smallSettings } from "../../../oracle/stand.ts";
import { sample } from "../../../support/effort.ts";
import { benchOptions } from "../../../support/proving.ts";

const window = (openRpm: number, closeRpm: number) => ({
  engineSpeed: { openRpm, closeRpm, hysteresisRpm: 50 },
});

/** The small settings with another stage. */
function withSecond(first: Partial<Stage>, second: Partial<Stage>): Settings {
  return smallSettings((settings) => {
    const [stage] = settings.stages as [Stage];
    stage.portionPermille = 500;
    settings.stages = [
      { ...stage, ...first },
      { ...structuredClone(stage), ...second },
    ];
  });
}

const NOTHING: Stage["ramps"] = [
  {
    over: "time",
    points: [
      [0, 0],
      [1, 0],
    ],
  },
];
const CASES: Readonly<Record<string, Settings>> = {
  "windows that do not meet": withSecond(window(3500, 4200), window(4400, 5500)),
  "the second asks for nothing": withSecond({}, { ramps: NOTHING }),
  "the second follows a share that never comes": withSecond({}, { follows: { sharePermille: 1000 } }),
};
/** Where no change of shares lets both flow, a driver of one of them. */
const MOST_NOT_SHOWN = 1;
/** A hold-off, a lift, and drivers of stages of which one never flows. */
const FAULTS: readonly string[] = [
  "throttle switch open",
  "throttle switch welded, or the pedal held, when arming",
  "nitrous2 driver stuck: never conducts",
  "nitrous1 driver conducts in every second pulse only, in pulses",
];

test.each(sample(Object.entries(CASES), 3))("%s", async (_name, settings) => {
  const scenarios = SCENARIOS.filter(({ fault }) => FAULTS.includes(fault));
  expect(scenarios).toHaveLength(FAULTS.length);
  const findings = await prove(settings as unknown as Document, { ...benchOptions(), scenarios });
  expect(findings.flatMap(({ wrong }) => wrong)).toEqual([]);
  const passed = findings.filter(({ outcome }) => outcome === "passed").length;
  const notShown = findings.filter(({ outcome }) => outcome === "not shown").length;
  expect([passed + notShown, notShown <= MOST_NOT_SHOWN]).toEqual([FAULTS.length, true]);
});
