// The plots of a plan by the section they belong to; lines differ by dash and width, not by colour.

import { rampAt } from "#host/plan/ramp/fit.ts";
import { deliveredShare } from "#host/plan/ramp/valve.ts";
import type { SystemPlan } from "#host/plan/system-plan.ts";
import { toUnit } from "#host/units/format.ts";
import type { Plot, Series } from "../page.ts";
import { axisName } from "./ramps.ts";

const DASH = [8, 5];
const DOTS = [2, 4];
const percent = (share: number): number => 100 * share;

function torquePlot(plan: SystemPlan): Plot {
  const inside = (rpm: number) => rpm >= plan.window.openRpm && rpm <= plan.window.closeRpm;
  return {
    title: "Torque with and without nitrous",
    xLabel: "engine speed, rpm",
    yLabels: { y: "torque, Nm" },
    x: plan.torque.map((row) => row.rpm),
    series: [
      { label: "engine alone", values: plan.torque.map((row) => row.engineNm), width: 1.5 },
      {
        label: "with full nitrous, window open",
        values: plan.torque.map((row) => (inside(row.rpm) ? row.withNm : null)),
        width: 3,
      },
      {
        label: "with full nitrous, window shut",
        values: plan.torque.map((row) => row.withNm),
        dash: DOTS,
        colour: "#666",
      },
      {
        label: "lowest limit of the parts",
        values: plan.torque.map((row) => row.limitNm ?? null),
        dash: DASH,
        width: 2,
      },
    ],
  };
}

function mixturePlot(plan: SystemPlan): Plot {
  return {
    title: "Mixture and power over bottle pressure",
    xLabel: "bottle pressure, psi gauge",
    yLabels: { lambda: "lambda", hp: "added power, hp" },
    x: plan.mixture.map((row) => toUnit(row.bottlePa - plan.airPa, "psi")),
    series: [
      {
        label: "lambda of the whole engine",
        values: plan.mixture.map((row) => row.engineLambda),
        scale: "lambda",
        width: 3,
      },
      {
        label: "lambda of the nitrous charge",
        values: plan.mixture.map((row) => row.chargeLambda),
        scale: "lambda",
        width: 1.5,
      },
      {
        label: "added power",
        values: plan.mixture.map((row) => toUnit(row.addedW, "hp")),
        scale: "hp",
        dash: DASH,
      },
    ],
    ranges: { lambda: [0.4, 1.1] },
  };
}

function forcePlot(plan: SystemPlan): Plot {
  return {
    title: "Force at the wheels against the tyres' limit",
    xLabel: "time, s",
    yLabels: { y: "force, kN" },
    x: plan.trace.map((row) => row.timeS),
    series: [
      { label: "tyres' limit", values: plan.trace.map((row) => row.forceLimitN / 1e3), dash: DASH, width: 2 },
      { label: "delivered", values: plan.trace.map((row) => row.forceN / 1e3), width: 2.5 },
    ],
  };
}

function shareOverTime(plan: SystemPlan): Plot {
  return {
    title: "Share of full flow and road speed over the run",
    xLabel: "time, s",
    yLabels: { share: "share, %", speed: "road speed, km/h" },
    x: plan.trace.map((row) => row.timeS),
    series: [
      {
        label: "limit of tyres and parts, window open",
        values: plan.trace.map((row) => (row.open ? percent(row.shareLimit) : null)),
        scale: "share",
        dash: DASH,
        width: 2,
      },
      {
        label: "planned share",
        values: plan.trace.map((row) => percent(row.share)),
        scale: "share",
        width: 2.5,
      },
      {
        label: "road speed",
        values: plan.trace.map((row) => toUnit(row.speedMS, "km/h")),
        scale: "speed",
        dash: DOTS,
        colour: "#555",
      },
    ],
    ranges: { share: [0, 105] },
  };
}

function shareOverSpeed(plan: SystemPlan): Plot {
  return {
    title: "Share of full flow over road speed",
    xLabel: "road speed, km/h",
    yLabels: { y: "share, %" },
    x: plan.trace.map((row, i) => toUnit(row.speedMS, "km/h") + i * 1e-6),
    series: [
      {
        label: "limit of tyres and parts, window open",
        values: plan.trace.map((row) => (row.open ? percent(row.shareLimit) : null)),
        dash: DASH,
        width: 2,
      },
      { label: "planned share", values: plan.trace.map((row) => percent(row.share)), width: 2.5 },
    ],
    ranges: { y: [0, 105] },
  };
}

const AXIS_SCALE = { "road-speed": [3.6, "km/h"], launch: [1, "s"], "engine-speed": [1, "rpm"] } as const;
const RAMP_PLOT_POINTS = 300;

function rampPlot(plan: SystemPlan, i: number): Plot {
  const { ramp } = plan.stages[i]!;
  const [factor, unit] = AXIS_SCALE[plan.axis];
  const [from, to] = [ramp[0]![0], ramp.at(-1)![0]];
  const axisValues = Array.from(
    { length: RAMP_PLOT_POINTS },
    (_, k) => from + ((to - from) * k) / (RAMP_PLOT_POINTS - 1),
  );
  return {
    title: `Stage ${i + 1}`,
    xLabel: `${axisName(plan.axis)}, ${unit}`,
    yLabels: { y: "share of the stage, %" },
    x: axisValues.map((at) => at * factor),
    series: [
      { label: "ramp", values: axisValues.map((at) => percent(rampAt(ramp, at))), dash: DASH },
      {
        label: "flow that the valves deliver",
        values: axisValues.map((at) => percent(deliveredShare(plan.valves, rampAt(ramp, at)))),
        width: 2.5,
      },
    ],
    height: 200,
    ranges: { y: [0, 105] },
  };
}

function bottlePlot(plan: SystemPlan): Plot {
  const { samples } = plan.bottle;
  return {
    title: "The bottle through the run",
    xLabel: "time, s",
    yLabels: { psi: "pressure, psi gauge", celsius: "temperature, C" },
    x: samples.map((s) => s.timeS),
    series: [
      {
        label: "pressure",
        values: samples.map((s) => toUnit(s.pressurePa - plan.airPa, "psi")),
        scale: "psi",
        width: 2.5,
      },
      {
        label: "temperature",
        values: samples.map((s) => toUnit(s.temperatureK, "C")),
        scale: "celsius",
        dash: DASH,
      },
    ],
  };
}

/** The style of a line in words, because the mark in the legend does not show it. */
function look({ dash, width }: Series): string {
  if (dash === DASH) return "dashed";
  if (dash === DOTS) return "dotted";
  return (width ?? 1) > 2 ? "thick" : "thin";
}

const named = (plot: Plot): Plot => ({
  ...plot,
  height: plot.height ?? 320,
  series: plot.series.map((line) => ({ ...line, label: `${line.label} (${look(line)})` })),
});

/** Plots by section. */
export function planPlots(plan: SystemPlan): Readonly<Record<string, readonly Plot[]>> {
  const plots = plotsOf(plan);
  return Object.fromEntries(Object.entries(plots).map(([id, list]) => [id, list.map(named)]));
}

function plotsOf(plan: SystemPlan): Readonly<Record<string, readonly Plot[]>> {
  const ramps = plan.stages.map((_, i) => [`ramp-${i + 1}`, [rampPlot(plan, i)]] as const);
  return {
    torque: [torquePlot(plan)],
    mixture: [mixturePlot(plan)],
    run: [shareOverTime(plan), shareOverSpeed(plan), forcePlot(plan)],
    bottle: [bottlePlot(plan)],
    ...Object.fromEntries(ramps),
  };
}
