// A proof as one page to print and keep: what was proved, with which image and settings, how fast, and what it does not show.
import type { Finding } from "#host/bench/prove/prove.ts";
import { escapeHtml, htmlTable } from "../html.ts";
import { CAUTIONS, htmlPage, resultHtml, type Section } from "../page.ts";
import { outcomeOf } from "./rows.ts";
import { countLine, HEAD, rowCells, timeText } from "./text.ts";
import { type UnwiseSetting, unwiseSection } from "./unwise.ts";
import { notCovered, type ProofVerdict } from "./verdict.ts";

/** What the page says about where the proof came from. */
export interface ProofOrigin {
  /** What is legal but unwise in the settings. */
  readonly cautions: readonly UnwiseSetting[];
  readonly settingsName: string;
  readonly settingsHash: string;
  /** The settings themselves, as a settings file writes them: every limit that was proved. */
  readonly settingsText: string;
  readonly imageVersion: string;
  readonly imageHash: string;
  readonly date: string;
}

const NOT_SHOWN =
  "Tried on an emulated board: the released firmware image, instruction by instruction, with emulated pins, converters, drivers and relay. It does not show brown-out slopes, flash stalls, relay and valve delays, interference on wires, or a board wired otherwise than drawn. Homemade gear; no certified safety level is claimed.";
const OUTCOMES =
  "Not fitted: these settings do not switch the row on, or have no such part. Not shown: the pin never takes the level at which the fault could be seen. At part of the flow: with the settings as they are the fault could not show, so every stage was held at a share at which it pulses.";
const NUMERIC = [3, 4, 5, 6];

const TIMES =
  "Pins low: from the fault at the pin to all solenoid pins low, in the trial that came nearest to its limit. Allowed: the longest time for that, at the engine speed of that trial and with the waits of these settings; it counts from the fault, not from the trip. Relay: from the fault to the open master relay, which comes after the pins: the pump that holds it has to run down first.";
/** What a person adds by hand. */
const BY_HAND = [
  "controller (board number)",
  "tested by",
  "date and time",
  "result of the bench, bottle shut",
  "signature",
];

/** Lines of a settings file that set something: its comments would fill pages. */
const settingLines = (text: string): string =>
  text
    .split("\n")
    .filter((line) => !/^\s*(#|$)/.test(line))
    .join("\n");

/** Room to write in. */
function signHtml(): string {
  return htmlTable(
    ["what", "by hand"],
    BY_HAND.map((what) => [what, "\u00a0".repeat(24)]),
  );
}

function originTable(origin: ProofOrigin, findings: readonly Finding[]): string {
  return htmlTable(
    ["what", "value"],
    [
      ["faults", countLine(findings)],
      ["date", origin.date],
      ["settings", `${origin.settingsName}, hash ${origin.settingsHash}`],
      ["image", `${origin.imageVersion}, SHA-256 ${origin.imageHash}`],
    ],
  );
}

function outcomeCell(finding: Finding): string {
  const outcome = finding.outcome === "failed" ? `FAILED: ${finding.wrong.join("; ")}` : outcomeOf(finding);
  return finding.atPart ? `${outcome}, at part of the flow` : outcome;
}

function faultTable(findings: readonly Finding[]): string {
  const rows = findings.map((f) => [
    f.row,
    f.fault,
    outcomeCell(f),
    String(f.trials),
    timeText(f.pinsUs),
    timeText(f.allowedUs),
  ]);
  return htmlTable(["row", "fault at the pin", "outcome", "trials", "pins low", "allowed"], rows, [3, 4, 5]);
}

/** Failures in so many boxes on top; the table at the end has all of them. */
const FAILURES_ON_TOP = 5;

/** What failed and how, for the top of the page. */
function failures(findings: readonly Finding[]): string[] {
  const failed = findings.filter(({ outcome }) => outcome === "failed");
  const shown = failed.slice(0, FAILURES_ON_TOP);
  const more = failed.length - shown.length;
  return [
    ...shown.map(({ row, fault, wrong }) => `FAILED ${row}, ${fault}: ${wrong.join("; ")}`),
    ...(more > 0 ? [`${more} more failed: see "Fault by fault".`] : []),
  ];
}

/** The whole page. */
export function proofPage(findings: readonly Finding[], verdict: ProofVerdict, origin: ProofOrigin): string {
  const sections: Section[] = [
    ...unwiseSection(origin.cautions),
    {
      heading: "Row by row",
      html: `<p>${TIMES}</p>${htmlTable(HEAD, verdict.rows.map(rowCells), NUMERIC)}`,
    },
    {
      heading: "On the bench, with the real controller",
      html: `<p>What was tried here is the program. The wiring, valves and supply of this car are proved by hand, bottle shut; the page of the docs for testers has the order.</p>${signHtml()}`,
    },
    CAUTIONS,
    { heading: "Fault by fault", html: `<p>${OUTCOMES}</p>${faultTable(findings)}` },
    {
      heading: "The settings that were tried",
      html: `<pre>${escapeHtml(settingLines(origin.settingsText))}</pre>`,
    },
  ];
  const open = [...failures(findings), ...notCovered(verdict)].map(
    (text) => `<p class="caution">${escapeHtml(text)}</p>`,
  );
  const intro = `${resultHtml(verdict.sentence)}${open.join("")}${originTable(origin, findings)}<p class="caution">${escapeHtml(NOT_SHOWN)}</p>`;
  return htmlPage("Headgate: proof of the interlocks", intro, sections);
}
