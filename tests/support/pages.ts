// Every kind of page that the tool writes, made from runs of the demo car on the core rig; the practice board's page with a moment of its own.
import { readFileSync } from "node:fs";
import { findings } from "#host/bench/findings.ts";
import { AS_PLANNED } from "#host/bench/loop/conditions.ts";
import type { SpreadRun } from "#host/bench/loop/spread.ts";
import { USUAL_TOLERANCE } from "#host/bench/loop/tolerance.ts";
import { QUARTER_MILE_M } from "#host/car/quarter-mile.ts";
import { originOf } from "#host/logbook/origin.ts";
import { runOf } from "#host/logbook/runs.ts";
import { docsPage } from "#host/report/docs/page.ts";
import { buildSheet } from "#host/report/plan/build-sheet.ts";
import { planPage } from "#host/report/plan/page.ts";
import { proofPage } from "#host/report/proof/page.ts";
import { verdictOf } from "#host/report/proof/verdict.ts";
import type { RunOrigin } from "#host/report/rehearsal/origin.ts";
import { rehearsalPage } from "#host/report/rehearsal/page.ts";
import { reviewPage } from "#host/report/review/page.ts";
import type { Reviewed } from "#host/report/review/reviewed.ts";
import type { SpreadHead } from "#host/report/spread/head.ts";
import { spreadPage } from "#host/report/spread/page.ts";
import { exampleDocument } from "#host/settings/example.ts";
import { formatSettings } from "#host/settings/write.ts";
import { INTERLOCKS } from "#shared-schema/model/interlocks.ts";
import { demoEntry } from "./driven.ts";
import { type Recorded, recorded } from "./recorded.ts";

/** A recorded run as a review looks at it. */
export function reviewedRun(name: string, { entry, file }: Recorded): Reviewed {
  const { samples, settingsCrc, run } = runOf(file.pages);
  const { settings, supply, plan } = entry;
  return {
    name,
    run,
    samples,
    settings,
    settingsCrc,
    origin: originOf(samples, settings),
    facts: file.facts,
    note: "12.94 s at 168 km/h, 21 C, dry",
    car: { name: "demo", data: entry.car, supply, plannedKg: plan.bottle.usedKg },
    lacks: ["the track's own time"],
  };
}

const ORIGIN: RunOrigin = {
  settingsName: "street-coupe.yaml",
  settingsHash: "00c0ffee",
  controller: "emulated board",
  image: "0.1.0",
  date: "2026-05-01",
  car: {
    name: "Larkspur 300",
    demo: true,
    massKg: 1380,
    engineW: 210_000,
    nitrousW: 110_000,
    plannedS: 12.6,
  },
  conditions: AS_PLANNED,
};

function proof(): string {
  const whole = { outcome: "passed", trials: 4, pinsUs: 951.4, allowedUs: 2000, wrong: [] } as const;
  const all = INTERLOCKS.map(({ id }) => ({ ...whole, row: id, fault: `${id}: a wire is open` }));
  const failed = {
    ...whole,
    row: "LEAN",
    fault: "too lean",
    outcome: "failed" as const,
    wrong: ["pins low after 123456 us"],
  };
  const findings = [...all, failed];
  return proofPage(findings, verdictOf(findings), {
    cautions: [{ caution: "limiter", field: "windows.engineSpeed.close", text: "near the rev limiter" }],
    settingsName: "street-coupe.yaml",
    settingsHash: "00c0ffee",
    settingsText: formatSettings(exampleDocument(1, [])),
    imageVersion: "0.1.0",
    imageHash: "ab".repeat(32),
    date: "2026-05-01",
  });
}

function spread({ entry, driven }: Recorded): string {
  const runs: SpreadRun[] = [12.6, 12.9, 13.4].map((quarterS, run) => ({
    run,
    conditions: AS_PLANNED,
    sixtyFeetS: 2.4,
    eighthS: 8.8,
    quarterS,
    worstSlip: 0.12,
    overPeakS: 0.3 * run,
    trips: run === 2 ? ["BOTTLE-LOW"] : [],
  }));
  const head: SpreadHead = {
    format: "headgate-spread",
    version: 2,
    settings: "street-coupe.yaml",
    hash: "00c0ffee",
    inputs: "",
    whose: "An invented car drives, not yours.",
    plannedS: 12.6,
    bottlePa: 6.6e6,
    batteryV: 13.8,
    plan: {
      seed: 1,
      runs: 3,
      tolerance: USUAL_TOLERANCE,
      corners: false,
      until: { distanceM: QUARTER_MILE_M },
    },
    all: 3,
  };
  const found = findings(driven, entry.settings);
  return spreadPage(runs, head, { run: driven, found, origin: { ...ORIGIN, controller: "core rig" } });
}

/** All pages that are written to a file, by what they are. */
export async function writtenPages(): Promise<Readonly<Record<string, string>>> {
  // One plan for both runs: it costs more than they do.
  const entry = demoEntry();
  const lifted = await recorded({ forS: 6, liftS: 3.7 }, entry);
  const tripped = await recorded({ conditions: { bottlePa: 6e5 }, forS: 3 }, entry);
  const { driven } = lifted;
  const [one, two] = [reviewedRun("one.hgrun", lifted), reviewedRun("two.hgrun", tripped)];
  return {
    run: rehearsalPage(driven, findings(driven, entry.settings), ORIGIN),
    "review of two runs": reviewPage("time", two, one),
    proof: proof(),
    plan: planPage(entry.plan),
    "build sheet": buildSheet(entry.plan),
    spread: spread(lifted),
    cards: docsPage("Recovery", readFileSync("docs/recovery.md", "utf8")),
  };
}
