// The one screen that a tour ends with: what was shown, three numbers, and where the pages are.
import { join } from "node:path";
import type { ProofVerdict } from "#host/report/proof/verdict.ts";
import { nitrousKg } from "#host/report/review/numbers.ts";
import type { Reviewed } from "#host/report/review/reviewed.ts";
import { storyOf } from "#host/report/review/story.ts";
import { wrap } from "#host/report/terminal/wrap.ts";
import { formatQuantity } from "#host/units/format.ts";
import { type DrivenRun, type Planned, SHORT_SET } from "./steps.ts";

/** Names of what a tour leaves in its folder. */
export const FILES = {
  plan: "plan.html",
  settings: "settings.yaml",
  proof: "proof.html",
  run: "run.hgrun",
  review: "review.html",
} as const;

/** Everything that a tour came to. */
export interface Toured {
  readonly planned: Planned;
  readonly verdict: ProofVerdict;
  readonly driven: DrivenRun;
  readonly reviewed: Reviewed;
}

/** Time from arm switch off to all solenoid pins low, us; undefined when a pin stayed high. */
export function shutUs({ found }: DrivenRun): number | undefined {
  const shut = found.shuts.find(({ words }) => words === "arm switch off");
  return shut?.stillHigh ? undefined : shut?.pinsUs;
}

const passed = ({ rows }: ProofVerdict): string =>
  `${rows.filter(({ outcome }) => outcome === "passed").length} of ${rows.length}`;

/** What each step showed. */
function shownLines({ planned, verdict, reviewed }: Toured): string[] {
  const { plan, input } = planned;
  const opened = storyOf(reviewed).filter(({ kind }) => kind === "opens").length;
  return [
    `1 plan    ${input.name}, invented: ${formatQuantity(plan.added.powerW, "hp", 0)} of nitrous in ${(planned.settings.stages as unknown[]).length} stages`,
    `2 load    settings ${planned.hash} over the serial line into the released image`,
    `3 prove   ${passed(verdict)} interlocks at the pins: ${SHORT_SET.join(", ")}`,
    "4 drive   the car in front of the emulated board, to the quarter mile",
    `5 pull    ${reviewed.samples.length} records of its run log, into a run file`,
    `6 review  ${opened} openings of stages, what held off, and every channel on a page`,
  ];
}

/** The three numbers. */
export function numbersOf({ planned, driven, reviewed }: Toured) {
  return {
    quarterS: driven.run.slip.quarter?.timeS,
    plannedS: planned.plan.runs.planned.quarterS,
    shutUs: shutUs(driven),
    logKg: nitrousKg(reviewed),
    drawnKg: driven.run.drawnKg,
  };
}

const orNone = (value: number | undefined, words: (value: number) => string): string =>
  value === undefined ? "not reached" : words(value);

function numberLines(toured: Toured): string[] {
  const { quarterS, plannedS, shutUs: us, logKg, drawnKg } = numbersOf(toured);
  const lb = (kg: number): string => formatQuantity(kg, "lb", 2);
  return [
    `${orNone(quarterS, (s) => `${s.toFixed(2)} s`).padStart(10)}  quarter mile; the plan promised ${plannedS.toFixed(2)} s`,
    `${orNone(us, (value) => `${value.toFixed(1)} us`).padStart(10)}  from arm switch off to every solenoid pin low`,
    `${orNone(logKg, lb).padStart(10)}  of nitrous by the run log; the car's bottle gave ${lb(drawnKg)}`,
  ];
}

const PAGES: readonly (readonly [file: keyof typeof FILES, what: string])[] = [
  ["plan", "the plan: stages, jets, fuel, ramps"],
  ["settings", "what was loaded"],
  ["proof", "the proof"],
  ["run", "the run, for headgate review and replay"],
  ["review", "the run, every channel over one axis"],
];

/** The screen, for a folder as it is named from here. */
export function endScreen(toured: Toured, folder: string, width: number): string[] {
  const pages = PAGES.map(([file, what]) => `  ${join(folder, FILES[file]).padEnd(30)}  ${what}`);
  return [
    "What was shown",
    ...shownLines(toured).map((line) => `  ${line}`),
    "In three numbers",
    ...numberLines(toured),
    "Where it is",
    ...pages,
    ...wrap(CALCULATED, width, 2),
  ];
}

const CALCULATED =
  "The car and its driver are calculated, the board is emulated. Homemade gear with no certified safety level: when in doubt, off.";
