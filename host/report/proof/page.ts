// A proof as one page to print and keep: what was proved, with which image and settings, how fast, and what it does not show.
import type { Finding } from "#host/bench/prove/prove.ts";
import { escapeHtml, htmlPage, htmlTable, type Section } from "../page.ts";
import { CAUTIONS } from "../safety-notice.ts";
import { countLine, HEAD, rowCells, rowResults, timeText } from "./text.ts";

/** What the page says about where the proof came from. */
export interface ProofOrigin {
  readonly settingsName: string;
  readonly settingsHash: string;
  readonly imageVersion: string;
  readonly imageHash: string;
  readonly date: string;
  /** True when only some rows were asked for. */
  readonly partial: boolean;
}

const NOT_SHOWN =
  "Proved on an emulated board: the released firmware image, instruction by instruction, with emulated pins, converters, drivers and relay. It does not show brown-out slopes, flash stalls, relay and valve delays, interference on wires, or a board wired otherwise than drawn. Homemade gear; no certified safety level is claimed.";
const OUTCOMES =
  "Not enabled: these settings do not switch the row on, or have no such part. Not shown: at full flow the pin never takes the level at which the fault could be seen; the same fault is tried at arming.";
const NUMERIC = [3, 4, 5, 6];

function verdict(findings: readonly Finding[], partial: boolean): string {
  if (findings.some(({ outcome }) => outcome === "failed"))
    return "FAILED: do not use this image with these settings";
  return partial ? "passed, for the rows asked for only" : "passed: every fault that these settings can show";
}

function originTable(origin: ProofOrigin, findings: readonly Finding[]): string {
  return htmlTable(
    ["what", "value"],
    [
      ["result", verdict(findings, origin.partial)],
      ["faults", countLine(findings)],
      ["date", origin.date],
      ["settings", `${origin.settingsName}, hash ${origin.settingsHash}`],
      ["image", `${origin.imageVersion}, SHA-256 ${origin.imageHash}`],
    ],
  );
}

function faultTable(findings: readonly Finding[]): string {
  const rows = findings.map((f) => [
    f.row,
    f.fault,
    f.outcome === "failed" ? `FAILED: ${f.wrong.join("; ")}` : f.outcome,
    String(f.trials),
    timeText(f.pinsUs),
    timeText(f.allowedUs),
  ]);
  return htmlTable(["row", "fault at the pin", "outcome", "trials", "pins low", "allowed"], rows, [3, 4, 5]);
}

/** The whole page. */
export function proofPage(findings: readonly Finding[], origin: ProofOrigin): string {
  const rows = rowResults(findings).filter(({ outcome }) => outcome !== "not run");
  const sections: Section[] = [
    {
      heading: "Row by row",
      html: `<p>Times from the fault at the pin to all solenoid pins low, and to the open master relay: the worst of all trials.</p>${htmlTable(HEAD, rows.map(rowCells), NUMERIC)}`,
    },
    {
      heading: "Cautions",
      html: `<div class="caution"><ul>${CAUTIONS.map((c) => `<li>${escapeHtml(c)}</li>`).join("")}</ul></div>`,
    },
    { heading: "Fault by fault", html: `<p>${OUTCOMES}</p>${faultTable(findings)}` },
  ];
  const intro = `<p class="caution">${escapeHtml(NOT_SHOWN)}</p>${originTable(origin, findings)}`;
  return htmlPage("Headgate: proof of the interlocks", intro, sections);
}
