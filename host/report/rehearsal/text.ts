// A rehearsal as text for a terminal: stage by stage, a small plot of share against table, and how fast everything shut.
import type { CarData } from "#host/bench/car/car.ts";
import type { Findings, Flow, SharePoint, Shut } from "#host/bench/findings.ts";
import { SAFETY_NOTICES } from "#shared-schema/model/safety-notices.ts";

const BAR = 36;
/** Lines of a stage's table at the most. */
const ROWS = 10;

const percent = (share: number): string => `${Math.round(share * 100)}`.padStart(3);

function bar(point: SharePoint): string {
  const filled = Math.round(point.share * BAR);
  const mark = Math.min(BAR - 1, Math.round(point.table * BAR));
  const cells: string[] = Array.from({ length: BAR }, (_, i) => (i < filled ? "#" : "."));
  cells[mark] = filled > mark ? "|" : ":";
  return cells.join("");
}

function thinned(points: readonly SharePoint[]): readonly SharePoint[] {
  const full = points.findIndex((p) => p.share >= 1 && p.table >= 1);
  const rising = full < 0 ? points : points.slice(0, full + 1);
  const step = Math.max(1, Math.ceil(rising.length / ROWS));
  return rising.filter((_, i) => i % step === 0 || i === rising.length - 1);
}

const MADE = { pulsed: "", pattern: "pattern", open: "open" } as const;

const fuelText = ({ fuel }: SharePoint): string => (fuel === undefined ? "     " : `${percent(fuel)} %`);

/** What the words beside the bars mean, where they stand. */
function makingLines(flows: readonly Flow[]): string[] {
  const made = new Set(flows.flatMap(({ points }) => points.map((p) => p.made)));
  return [
    ...(made.has("pattern")
      ? ["  pattern: a pulse in each period cannot make it; one on-run over several does"]
      : []),
    ...(made.has("open")
      ? ["  open: a valve could not shut in the time that is left; the share is 100 %"]
      : []),
  ];
}

function flowLines(flow: Flow, number: number): string[] {
  const head = `  flow ${number}: ${flow.fromS.toFixed(3)} s to ${flow.toS.toFixed(3)} s`;
  const rows = thinned(flow.points).map((p) =>
    `  ${p.s.toFixed(2).padStart(5)} s ${percent(p.share)} % ${fuelText(p)} of ${percent(p.table)} % ${bar(p)} ${MADE[p.made]}`.trimEnd(),
  );
  return [head, ...rows];
}

function shutWords({ stillHigh, pinsUs }: Shut): string {
  if (stillHigh) return "pins STILL HIGH";
  return pinsUs === undefined ? "nothing was flowing" : `all solenoid pins low after ${pinsUs.toFixed(1)} us`;
}

function shutLines(shut: Shut): string[] {
  const relay =
    shut.relayMs === undefined ? [] : [`    master relay open after ${shut.relayMs.toFixed(1)} ms`];
  return [`  ${shut.words} at ${shut.atS.toFixed(2)} s: ${shutWords(shut)}`, ...relay];
}

/** Whose car it is: the first thing that a reader of a rehearsal has to know. */
export function carLine({ massKg, engineW, nitrousW }: CarData): string {
  return `An invented car drives, not yours: ${massKg} kg, ${engineW / 1000} kW and ${nitrousW / 1000} kW of nitrous.`;
}

/** Lines of a report, at most 80 columns but for the cautions, which the caller wraps. */
export function rehearsalLines(found: Findings): string[] {
  const stages = found.stages.flatMap((flows, s) => [
    `Stage ${s + 1}: what nitrous and fuel valve let through, beside the ramp ( | : )`,
    ...(flows.length === 0 ? ["  did not flow"] : flows.flatMap((flow, i) => flowLines(flow, i + 1))),
    ...makingLines(flows),
    "",
  ]);
  return [...stages, "How fast everything shut", ...found.shuts.flatMap(shutLines)];
}

/** The cautions, each wrapped to `width` columns. */
export function cautionLines(width = 78): string[] {
  return ["Cautions", ...SAFETY_NOTICES.flatMap(({ text }) => wrap(`- ${text}`, width))];
}

function wrap(text: string, width: number): string[] {
  const lines: string[] = [];
  let line = "";
  for (const word of text.split(" ")) {
    if (line !== "" && line.length + 1 + word.length > width) {
      lines.push(line);
      line = `  ${word}`;
    } else line = line === "" ? word : `${line} ${word}`;
  }
  return [...lines, line];
}
