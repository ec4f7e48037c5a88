// A rehearsal as one HTML page: the car, the switches, and every stage's share against its ramp.
import type { Findings } from "#host/bench/findings.ts";
import type { Run, Sample } from "#host/bench/loop/rehearse.ts";
import { GO_S } from "#host/bench/loop/script.ts";
import { toUnit } from "#host/units/format.ts";
import { SAFETY_NOTICES } from "#shared-schema/model/safety-notices.ts";
import { escapeHtml, htmlPage, htmlTable, type Plot, type Section, type Series } from "../page.ts";
import { carLine, conditionWords, type RunOrigin } from "./origin.ts";
import { heldRows, slipRows, spinLine, supplyLines, tripLines } from "./slip.ts";

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

function stagePlot(found: Findings, stage: number, run: Run): Plot {
  const x = grid(run.endS);
  const asked = (s: number): number =>
    (run.samples[Math.min(run.samples.length - 1, Math.round((s * run.samples.length) / run.endS))]?.asked[
      stage
    ] ?? 0) * 100;
  const wet = found.stages[stage]?.some((f) => f.points.some((p) => p.fuel !== undefined));
  const series: Series[] = [
    { label: "nitrous", values: held(found, stage, x, "share"), stepped: true, width: 2 },
    ...(wet
      ? [
          {
            label: "fuel",
            values: held(found, stage, x, "fuel"),
            stepped: true,
            dash: [2, 2],
            colour: "#a33",
          },
        ]
      : []),
    { label: "asked", values: x.map(asked), stepped: true, colour: "#36c", dash: [1, 2] },
    { label: "ramp", values: held(found, stage, x, "table"), dash: [6, 4], stepped: true, colour: "#666" },
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

function thin(run: Run): readonly Sample[] {
  return run.samples.filter((_, i) => i % EVERY === 0);
}

function over(run: Run, plot: Omit<Plot, "xLabel" | "x">): Plot {
  return { ...plot, xLabel: "time, s", x: thin(run).map(({ s }) => s) };
}

function speedPlot(run: Run): Plot {
  const samples = thin(run);
  return over(run, {
    title: "Speeds",
    yLabels: { kmh: "speed, km/h", rpm: "engine speed, rpm" },
    series: [
      { label: "driven wheels", values: samples.map((s) => s.wheelKmh), scale: "kmh", colour: "#a33" },
      { label: "car", values: samples.map((s) => s.carKmh), scale: "kmh", width: 2 },
      { label: "engine", values: samples.map((s) => s.rpm), scale: "rpm", dash: [6, 4], colour: "#555" },
    ],
    ranges: { rpm: [0, 8000] },
  });
}

function spinPlot(run: Run): Plot {
  const samples = thin(run);
  return over(run, {
    title: "Slip of the driven wheels",
    yLabels: { y: "slip, %", pedal: "pedal, %" },
    series: [
      { label: "slip", values: samples.map((s) => (s.carKmh > 5 ? s.slip * 100 : null)), width: 2 },
      {
        label: "where the tyres grip most",
        values: samples.map(() => run.spin.peak * 100),
        dash: [6, 4],
        colour: "#a33",
      },
      {
        label: "pedal",
        values: samples.map((s) => s.pedal * 100),
        scale: "pedal",
        colour: "#888",
        dash: [2, 3],
      },
    ],
    ranges: { y: [-10, Math.max(30, Math.min(100, run.spin.worst * 110))], pedal: [0, 105] },
    height: 220,
  });
}

function supplyPlot(run: Run): Plot {
  const samples = thin(run);
  const psi = (kpa: number): number => toUnit(kpa * 1000, "psi");
  return over(run, {
    title: "Bottle and fuel pressure",
    yLabels: { y: "bottle, psi", fuel: "fuel, psi" },
    series: [
      { label: "bottle", values: samples.map((s) => psi(s.bottleKpa)), width: 2 },
      {
        label: "fuel",
        values: samples.map((s) => psi(s.fuelKpa)),
        scale: "fuel",
        dash: [6, 4],
        colour: "#a33",
      },
    ],
    ranges: { fuel: [0, Math.max(...samples.map((s) => psi(s.fuelKpa))) * 1.2] },
    height: 220,
  });
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

const paragraphs = (lines: readonly string[]): string =>
  lines.map((line) => `<p>${escapeHtml(line)}</p>`).join("");

function heldHtml(run: Run): string {
  const rows = heldRows(run);
  const table =
    rows.length === 0
      ? "<p>Nothing held flow off between the launch switch and the end.</p>"
      : htmlTable(["interlock", "for", "times", "first at", "because"], rows, [1, 2, 3]);
  return table + paragraphs(tripLines(run));
}

function intro(origin: RunOrigin): string {
  const { car, settingsName, settingsHash, controller, image, date } = origin;
  const on =
    controller === "emulated board"
      ? `the emulated board, released image ${image}`
      : `the core rig, the control core of image ${image}`;
  return `<p class="result">${escapeHtml(carLine(car))}</p><p>Settings <b>${escapeHtml(settingsName)}</b> (${settingsHash}) on ${escapeHtml(on)}, ${escapeHtml(date)}. Run ${escapeHtml(conditionWords(origin))}; the launch switch says go at ${GO_S.toFixed(2)} s, and the time slip counts from the first movement. The car is calculated and so is the driver; shares were measured at the controller's pins.</p>`;
}

/** The whole page. */
export function rehearsalPage(run: Run, found: Findings, origin: RunOrigin): string {
  const shuts: Section[] =
    origin.controller === "emulated board"
      ? [{ heading: "How fast everything shut", html: shutTable(found) }]
      : [];
  const sections: Section[] = [
    { heading: "Time slip", html: htmlTable(["mark", "time", "speed", ""], slipRows(run), [1, 2, 3]) },
    {
      heading: "The run",
      html: `<p>${escapeHtml(`Driven wheels: ${spinLine(run)}.`)}</p>`,
      plots: [speedPlot(run), spinPlot(run)],
    },
    {
      heading: "What the stages did",
      html: flowTable(found),
      plots: found.stages.map((_, s) => stagePlot(found, s, run)),
    },
    { heading: "What held off or tripped", html: heldHtml(run) },
    { heading: "Supply", html: paragraphs(supplyLines(run)), plots: [supplyPlot(run)] },
    ...shuts,
    {
      heading: "Cautions",
      html: `<div class="caution"><ul>${SAFETY_NOTICES.map(({ text: c }) => `<li>${escapeHtml(c)}</li>`).join("")}</ul></div>`,
    },
  ];
  return htmlPage("Headgate: launch rehearsal", intro(origin), sections);
}
