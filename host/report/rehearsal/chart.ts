// What a rehearsal plots over its time: speeds, slip, pedal, each stage's share beside its ramp, bottle and fuel pressure.
import type { Findings, SharePoint } from "#host/bench/findings.ts";
import type { Run, Sample } from "#host/bench/loop/rehearse.ts";
import type { Axis } from "../chart/axis.ts";
import type { Chart } from "../chart/chart.ts";
import { heldLine, type Look, type Panel, type PanelLine, panelOf } from "../chart/panel.ts";
import { makingNotes, unpulsed } from "./making.ts";
import { flowed, runLanes, runMarks } from "./marks.ts";

/** Every so manyth sample is drawn: a hundred and more a second. */
const EVERY = 5;
/** Slower than this a slip means little. */
const LEAST_SLIP_KMH = 5;

const AXIS: Axis = { perUnit: 1000, unit: "s", key: "t", label: "time, s" };

function line(run: Run, look: Look, label: string, of: (sample: Sample) => number | null): PanelLine {
  const thin = run.samples.filter((_, i) => i % EVERY === 0);
  return { look, label, places: thin.map(({ s }) => s), values: thin.map(of) };
}

function speedPanels(run: Run): Panel[] {
  const slip = ({ carKmh, slip: share }: Sample): number | null =>
    carKmh > LEAST_SLIP_KMH ? share * 100 : null;
  return [
    panelOf({
      title: "Speed",
      unit: "km/h",
      digits: 1,
      lines: [
        line(run, "three", "driven wheels", (s) => s.wheelKmh),
        line(run, "one", "car", (s) => s.carKmh),
      ],
    }),
    panelOf({
      title: "Engine speed",
      unit: "rpm",
      digits: 0,
      lines: [line(run, "one", "engine", (s) => s.rpm)],
    }),
    panelOf({
      title: "Slip of the driven wheels",
      unit: "%",
      digits: 1,
      lines: [line(run, "one", "slip", slip)],
      limits: [{ words: "the tyres grip most at", value: run.spin.peak * 100 }],
    }),
    panelOf({
      title: "Pedal",
      unit: "%",
      digits: 0,
      lines: [heldLine(line(run, "one", "pedal", (s) => s.pedal * 100))],
      holds: [100],
    }),
  ];
}

/** What a stage's flows say at each pulse period; zero, or a gap, between them. */
function flowLine(
  found: Findings,
  stage: number,
  look: Look,
  label: string,
  of: (point: SharePoint) => number,
): PanelLine {
  const flows = found.stages[stage] ?? [];
  const points = flows.flatMap(({ fromS, toS, points: all }) => [
    { s: fromS, value: null },
    ...all.map((point) => ({ s: point.s, value: of(point) * 100 })),
    { s: toS, value: null },
  ]);
  return heldLine({
    look,
    label,
    places: points.map(({ s }) => s),
    values: points.map(({ value }) => value),
  });
}

function stagePanel(run: Run, found: Findings, stage: number): Panel {
  const flows = found.stages[stage] ?? [];
  const wet = flows.some(({ points }) => points.some(({ fuel }) => fuel !== undefined));
  const notes = makingNotes(found.stages, stage);
  const fuel = flowLine(found, stage, "two", "through the fuel valve", (p) => p.fuel ?? 0);
  return panelOf({
    title: `Stage ${stage + 1}, share of its full flow`,
    unit: "%",
    digits: 1,
    lines: [
      flowLine(found, stage, "four", "ramp", (p) => p.table),
      line(run, "three", "asked", (s) => (s.asked[stage] ?? 0) * 100),
      flowLine(found, stage, "one", "through the nitrous valve", (p) => p.share),
      ...(wet ? [fuel] : []),
    ],
    holds: [100],
    stretches: unpulsed(flows),
    ...(notes.length > 0 ? { notes } : {}),
  });
}

const supplyPanels = (run: Run): Panel[] => [
  panelOf({
    title: "Bottle pressure",
    unit: "kPa gauge",
    digits: 0,
    lines: [line(run, "one", "bottle", (s) => s.bottleKpa)],
    fromZero: false,
  }),
  panelOf({
    title: "Fuel pressure",
    unit: "kPa gauge",
    digits: 1,
    lines: [line(run, "one", "fuel", (s) => s.fuelKpa)],
  }),
];

/** The chart. */
export function runChart(run: Run, found: Findings): Chart {
  return {
    axis: AXIS,
    from: 0,
    to: run.endS,
    panels: [
      ...speedPanels(run),
      ...found.stages.map((_, stage) => stagePanel(run, found, stage)),
      ...supplyPanels(run),
    ],
    marks: runMarks(run, found),
    shaded: { words: "Flow was on.", stretches: flowed(run) },
    lanes: [runLanes(run)],
  };
}
