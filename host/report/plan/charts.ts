// The charts of a plan by the section they belong to: torque, mixture, the run, each stage's ramp, the bottle.

import { rampAt } from "#host/plan/ramp/fit.ts";
import { deliveredShare } from "#host/plan/ramp/valve.ts";
import type { SystemPlan, TraceRow } from "#host/plan/system-plan.ts";
import { toUnit } from "#host/units/format.ts";
import type { Chart, Mark } from "../chart/chart.ts";
import { type Look, type PanelLine, panelOf } from "../chart/panel.ts";
import { axisName } from "./ramps.ts";

const percent = (share: number): number => 100 * share;

/** A line that reads both its place and its value out of each row. */
function lineOf<T>(
  rows: readonly T[],
  place: (row: T) => number,
  look: Look,
  label: string,
  value: (row: T) => number | null,
): PanelLine {
  return { look, label, places: rows.map(place), values: rows.map(value) };
}

/** Runs of neighbours of which something is true, by the places of their ends. */
function stretchesOf<T>(rows: readonly T[], place: (row: T) => number, holds: (row: T) => boolean) {
  const begun = rows.map((_, i) => i).filter((i) => i === 0 || holds(rows[i]!) !== holds(rows[i - 1]!));
  return begun
    .map((i, n) => ({ i, from: place(rows[i]!), to: place(rows[begun[n + 1] ?? rows.length - 1]!) }))
    .filter(({ i }) => holds(rows[i]!));
}

function torqueChart({ torque, window }: SystemPlan): Chart {
  const rpm = (row: (typeof torque)[number]): number => row.rpm;
  const limits = torque.some(({ limitNm }) => limitNm !== undefined)
    ? [lineOf(torque, rpm, "three", "lowest limit of the parts", ({ limitNm }) => limitNm ?? null)]
    : [];
  return {
    axis: { perUnit: 1, unit: "rpm", key: "torque", label: "engine speed, rpm" },
    from: torque[0]!.rpm,
    to: torque.at(-1)!.rpm,
    panels: [
      panelOf({
        title: "Torque",
        unit: "Nm",
        digits: 0,
        lines: [
          lineOf(torque, rpm, "two", "engine alone", (row) => row.engineNm),
          lineOf(torque, rpm, "one", "with full nitrous", (row) => row.withNm),
          lineOf(torque, rpm, "four", "at the upper edge of the flow", (row) => row.highNm),
          ...limits,
        ],
      }),
    ],
    marks: [
      { place: window.openRpm, words: "window opens" },
      { place: window.closeRpm, words: "window closes" },
    ],
    shaded: {
      words: "The window is open: only here may nitrous flow.",
      stretches: [{ from: window.openRpm, to: window.closeRpm }],
    },
  };
}

function mixtureChart({ mixture, airPa, bottleWindow, bottle }: SystemPlan): Chart {
  const gauge = (pascal: number): number => toUnit(pascal - airPa, "psi");
  const at = (row: (typeof mixture)[number]): number => gauge(row.bottlePa);
  const places = mixture.map(at);
  return {
    axis: { perUnit: 10, unit: "psi", key: "bottle-pressure", label: "bottle pressure, psi gauge" },
    from: Math.min(...places),
    to: Math.max(...places),
    panels: [
      panelOf({
        title: "Mixture",
        unit: "lambda",
        digits: 3,
        fromZero: false,
        lines: [
          lineOf(mixture, at, "one", "whole engine", (row) => row.engineLambda),
          lineOf(mixture, at, "two", "nitrous charge alone", (row) => row.chargeLambda),
        ],
      }),
      panelOf({
        title: "Added power",
        unit: "hp",
        digits: 0,
        lines: [lineOf(mixture, at, "one", "all stages", (row) => toUnit(row.addedW, "hp"))],
      }),
    ],
    marks: [{ place: gauge(bottle.startPa), words: "jets sized here" }],
    shaded: {
      words: "Flow is allowed at these bottle pressures.",
      stretches: [
        {
          from: Math.max(Math.min(...places), gauge(bottleWindow.lowestPa)),
          to: Math.min(Math.max(...places), gauge(bottleWindow.highestPa)),
        },
      ],
    },
  };
}

function runMarks(trace: readonly TraceRow[], place: (row: TraceRow) => number): Mark[] {
  return trace.flatMap((row, i): Mark[] => {
    const before = trace[i - 1];
    const gear =
      before && row.gear !== before.gear ? [{ place: place(row), words: `gear ${row.gear + 1}` }] : [];
    const opens = row.open && !before?.open ? [{ place: place(row), words: "window opens" }] : [];
    return [...gear, ...opens];
  });
}

const SHARES = (trace: readonly TraceRow[], place: (row: TraceRow) => number) =>
  panelOf({
    title: "Share of full flow",
    unit: "%",
    digits: 1,
    lines: [
      lineOf(trace, place, "three", "limit of tyres and parts", ({ open, shareLimit }) =>
        open ? percent(shareLimit) : null,
      ),
      lineOf(trace, place, "one", "planned", ({ share }) => percent(share)),
    ],
    holds: [100],
  });

const openStretches = (trace: readonly TraceRow[], place: (row: TraceRow) => number) => ({
  words: "The window of engine speed is open.",
  stretches: stretchesOf(trace, place, ({ open }) => open),
});

function runChart({ trace }: SystemPlan): Chart {
  const at = ({ timeS }: TraceRow): number => timeS;
  return {
    axis: { perUnit: 1000, unit: "s", key: "t", label: "time since the start, s" },
    from: 0,
    to: trace.at(-1)!.timeS,
    panels: [
      SHARES(trace, at),
      panelOf({
        title: "Road speed",
        unit: "km/h",
        digits: 1,
        lines: [lineOf(trace, at, "one", "car", ({ speedMS }) => toUnit(speedMS, "km/h"))],
      }),
      panelOf({
        title: "Engine speed",
        unit: "rpm",
        digits: 0,
        lines: [lineOf(trace, at, "one", "engine", ({ rpm }) => rpm)],
      }),
      panelOf({
        title: "Force at the wheels",
        unit: "kN",
        digits: 2,
        lines: [
          lineOf(trace, at, "three", "limit of the tyres", ({ forceLimitN }) => forceLimitN / 1e3),
          lineOf(trace, at, "one", "delivered", ({ forceN }) => forceN / 1e3),
        ],
      }),
    ],
    marks: runMarks(trace, at),
    shaded: openStretches(trace, at),
  };
}

function speedChart({ trace }: SystemPlan): Chart {
  const at = ({ speedMS }: TraceRow): number => toUnit(speedMS, "km/h");
  return {
    axis: { perUnit: 100, unit: "km/h", key: "speed", label: "road speed, km/h" },
    from: 0,
    to: Math.max(...trace.map(at)),
    panels: [SHARES(trace, at)],
    marks: runMarks(trace, at),
    shaded: openStretches(trace, at),
  };
}

const AXIS_SCALE = {
  "road-speed": { factor: 3.6, unit: "km/h", perUnit: 100 },
  launch: { factor: 1, unit: "s", perUnit: 1000 },
  "engine-speed": { factor: 1, unit: "rpm", perUnit: 1 },
} as const;
const RAMP_POINTS = 300;

/** Where what the valves deliver leaves the ramp, and why. */
function valveNotes({ valves }: SystemPlan, shares: readonly number[]): string[] {
  const { least, greatest } = valves;
  const passes = (share: number): boolean =>
    shares.some((each) => each < share) && shares.some((each) => each > share);
  const [small, large] = [passes(least), passes(greatest)];
  return [
    ...(small
      ? [
          `Below ${percent(least).toFixed(0)} % the valve has no time to open: nothing flows, and at that share the flow begins with a jump.`,
        ]
      : []),
    ...(large
      ? [
          `Above ${percent(greatest).toFixed(0)} % the valve has no time to shut: it stays open, and the flow jumps to 100 %.`,
        ]
      : []),
  ];
}

function rampChart(plan: SystemPlan, i: number): Chart {
  const { ramp } = plan.stages[i]!;
  const { factor, unit, perUnit } = AXIS_SCALE[plan.axis];
  const [from, to] = [ramp[0]![0], ramp.at(-1)![0]];
  const at = Array.from({ length: RAMP_POINTS }, (_, k) => from + ((to - from) * k) / (RAMP_POINTS - 1));
  const shares = at.map((place) => rampAt(ramp, place));
  const places = at.map((place) => place * factor);
  const notes = valveNotes(plan, shares);
  return {
    axis: { perUnit, unit, key: `ramp-${i + 1}`, label: `${axisName(plan.axis)}, ${unit}` },
    from: places[0]!,
    to: Math.max(places.at(-1)!, places[0]! + 1),
    panels: [
      panelOf({
        title: `Share of stage ${i + 1}`,
        unit: "%",
        digits: 1,
        lines: [
          { look: "two", label: "ramp", places, values: shares.map(percent) },
          {
            look: "one",
            label: "flow that the valves deliver",
            places,
            values: shares.map((share) => percent(deliveredShare(plan.valves, share))),
          },
        ],
        holds: [100],
        ...(notes.length > 0 ? { notes } : {}),
      }),
    ],
  };
}

function bottleChart({ bottle, airPa }: SystemPlan): Chart {
  const { samples } = bottle;
  const at = (row: (typeof samples)[number]): number => row.timeS;
  return {
    axis: { perUnit: 1000, unit: "s", key: "bottle", label: "time since the start, s" },
    from: 0,
    to: Math.max(1, samples.at(-1)?.timeS ?? 0),
    panels: [
      panelOf({
        title: "Bottle pressure",
        unit: "psi gauge",
        digits: 0,
        fromZero: false,
        lines: [lineOf(samples, at, "one", "bottle", (row) => toUnit(row.pressurePa - airPa, "psi"))],
      }),
      panelOf({
        title: "Bottle temperature",
        unit: "C",
        digits: 1,
        fromZero: false,
        lines: [lineOf(samples, at, "one", "bottle", (row) => toUnit(row.temperatureK, "C"))],
      }),
    ],
  };
}

/** Charts by section. */
export function planCharts(plan: SystemPlan): Readonly<Record<string, readonly Chart[]>> {
  const ramps = plan.stages.map((_, i) => [`ramp-${i + 1}`, [rampChart(plan, i)]] as const);
  return {
    torque: [torqueChart(plan)],
    mixture: [mixtureChart(plan)],
    run: [runChart(plan), speedChart(plan)],
    bottle: [bottleChart(plan)],
    ...Object.fromEntries(ramps),
  };
}
