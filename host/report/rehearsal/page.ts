// A rehearsal as one HTML page: the car, the switches, and every stage's share against its ramp.
import type { CarData } from "#host/bench/car/car.ts";
import type { Findings } from "#host/bench/findings.ts";
import type { Rehearsal } from "#host/bench/rehearsal.ts";
import { SAFETY_NOTICES } from "#shared-schema/model/safety-notices.ts";
import { escapeHtml, htmlPage, htmlTable, type Plot, type Section, type Series } from "../page.ts";
import { carLine } from "./text.ts";

/** What the page says about where the run came from. */
export interface RunOrigin {
  readonly settingsName: string;
  readonly settingsHash: string;
  readonly image: string;
  readonly date: string;
  readonly car: CarData;
}

const GRID_S = 0.01;
const EVERY = 5;

function grid(endS: number): number[] {
  return Array.from({ length: Math.round(endS / GRID_S) + 1 }, (_, i) => Math.round(i * GRID_S * 100) / 100);
}

/** Value of the last pulse at each time of the grid; null while the stage does not flow. */
function held(
  found: Findings,
  stage: number,
  x: readonly number[],
  of: "share" | "fuel" | "table",
): (number | null)[] {
  const flows = found.stages[stage] ?? [];
  return x.map((s) => {
    const flow = flows.find((f) => s >= f.fromS && s <= f.toS);
    const point = flow?.points.findLast((p) => p.s <= s);
    return flow ? (point?.[of] ?? 0) * 100 : of === "table" ? null : 0;
  });
}

function stagePlot(found: Findings, stage: number, endS: number): Plot {
  const x = grid(endS);
  const wet = found.stages[stage]?.some((f) => f.points.some((p) => p.fuel !== undefined));
  const series: Series[] = [
    { label: "nitrous", values: held(found, stage, x, "share"), stepped: true, width: 2 },
    ...(wet
      ? [{ label: "fuel", values: held(found, stage, x, "fuel"), stepped: true, dash: [2, 2], grey: "#a33" }]
      : []),
    { label: "ramp", values: held(found, stage, x, "table"), dash: [6, 4], stepped: true, grey: "#666" },
  ];
  return {
    title: `Stage ${stage + 1}`,
    xLabel: "time, s",
    yLabels: { y: "share of full flow, %" },
    x,
    series,
    height: 220,
    ranges: { y: [0, 105] },
  };
}

function carPlot(run: Rehearsal): Plot {
  const samples = run.samples.filter((_, i) => i % EVERY === 0);
  return {
    title: "The car",
    xLabel: "time, s",
    yLabels: { rpm: "engine speed, rpm", kmh: "road speed, km/h" },
    x: samples.map((s) => s.s),
    series: [
      { label: "engine speed", values: samples.map((s) => s.rpm), scale: "rpm", width: 2 },
      { label: "road speed", values: samples.map((s) => s.kmh), scale: "kmh", dash: [8, 4] },
      {
        label: "pedal (full scale is wide open)",
        values: samples.map((s) => s.pedal * 1000),
        scale: "rpm",
        grey: "#888",
        dash: [2, 3],
      },
    ],
    ranges: { rpm: [0, 8000] },
  };
}

function flowTable(found: Findings): string {
  const rows = found.stages.flatMap((flows, s) =>
    flows.map((f) => {
      const full = f.points.find((p) => p.share >= 0.999);
      return [String(s + 1), f.fromS.toFixed(3), f.toS.toFixed(3), full ? full.s.toFixed(2) : "not reached"];
    }),
  );
  return htmlTable(["stage", "opened, s", "shut, s", "full flow from, s"], rows, [0, 1, 2, 3]);
}

function shutTable(found: Findings): string {
  const rows = found.shuts.map((s) => [
    s.words,
    s.atS.toFixed(2),
    s.stillHigh ? "STILL HIGH" : (s.pinsUs?.toFixed(1) ?? "nothing was flowing"),
    s.relayMs?.toFixed(1) ?? "-",
  ]);
  return htmlTable(
    ["what the driver did", "at, s", "all pins low after, us", "relay open after, ms"],
    rows,
    [1, 2, 3],
  );
}

/** The whole page. */
export function rehearsalPage(run: Rehearsal, found: Findings, origin: RunOrigin): string {
  const intro = `<p class="result">${escapeHtml(carLine(origin.car))}</p><p>Settings <b>${escapeHtml(origin.settingsName)}</b> (${origin.settingsHash}) on the emulated board, image ${escapeHtml(origin.image)}, ${escapeHtml(origin.date)}. Every figure was measured at the pins of the released firmware image; the driver is invented too.</p>`;
  const sections: Section[] = [
    {
      heading: "What the stages did",
      html: flowTable(found),
      plots: found.stages.map((_, s) => stagePlot(found, s, run.endS)),
    },
    { heading: "How fast everything shut", html: shutTable(found) },
    { heading: "The run", plots: [carPlot(run)] },
    {
      heading: "Cautions",
      html: `<div class="caution"><ul>${SAFETY_NOTICES.map(({ text: c }) => `<li>${escapeHtml(c)}</li>`).join("")}</ul></div>`,
    },
  ];
  return htmlPage(`Headgate: launch rehearsal`, intro, sections);
}
