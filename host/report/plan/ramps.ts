// Runs and ramps of a plan as sections.
import type { PlannedStage, RunTimes, SystemPlan } from "#host/plan/system-plan.ts";
import { toUnit } from "#host/units/format.ts";
import { type PlanSection, power } from "./section.ts";

const AXES = {
  "road-speed": {
    name: "road speed",
    write: (at: number) => `${toUnit(at, "km/h").toFixed(1)} km/h (${toUnit(at, "mph").toFixed(0)} mph)`,
  },
  launch: { name: "time since launch", write: (at: number) => `${at.toFixed(2)} s` },
  "engine-speed": { name: "engine speed", write: (at: number) => `${at.toFixed(0)} rpm` },
} as const;

/** Axis value of a ramp in everyday units. */
const axisValueText = (axis: SystemPlan["axis"], at: number): string => AXES[axis].write(at);

/** Name of a ramp's axis. */
export const axisName = (axis: SystemPlan["axis"]): string => AXES[axis].name;

/** `2.5 %`. */
export const percent = (share: number): string => `${(100 * share).toFixed(1).replace(/\.0$/u, "")} %`;

/** At what the ramps hold in the plan's own runs. */
function holdText({ axis, hold }: SystemPlan): string {
  const late = axis === "launch" ? `, a start up to ${hold.lateS.toFixed(2)} s late` : "";
  const at = `grip -${percent(hold.gripLoss)}${late}, the flow at its upper edge and the lowest battery`;
  return hold.holds
    ? `The ramps hold at ${at}: there the nitrous makes the wheels spin no longer than the engine alone would. For that the tyres keep a reserve of ${percent(hold.reserve)}. The flag --prove-ramp asks the control core itself.`
    : `The ramps do NOT hold at ${at}, with a reserve of ${percent(hold.reserve)}.`;
}

/** What a stage for the boost gains in time, and costs in torque. */
function spoolText({ spool, stages, airPa }: SystemPlan): string[] {
  if (spool === undefined) return [];
  const time = (s: number | undefined) =>
    s === undefined ? "never in this run" : `${s.toFixed(2)} s after the start`;
  const boost = `${toUnit(spool.offPa - airPa, "psi").toFixed(1)} psi of boost`;
  return [
    `Stage ${spool.stage + 1} of ${stages.length} brings the turbocharger up: ${boost} ${time(spool.withS)}, without it ${time(spool.withoutS)}; it goes off there, and on again when the boost has fallen by 10 kPa. For that it adds up to ${spool.addedNm.toFixed(0)} Nm at ${spool.openRpm} rpm, where the engine then makes up to ${spool.torqueNm.toFixed(0)} Nm at full boost; never below 3000 rpm. Boost over engine speed and its lag are assumptions, listed below; tyres and parts are held as if there were full boost, and as if the stage flowed on.`,
  ];
}

/** Times with and without, against the limit and against rules of thumb. */
export function runSection(plan: SystemPlan): PlanSection {
  const { without, limit, planned } = plan.runs;
  const row = (name: string, t: RunTimes) => [
    name,
    t.eighthS.toFixed(2),
    t.quarterS.toFixed(2),
    toUnit(t.trapMS, "mph").toFixed(1),
  ];
  const gap = planned.quarterS - limit.quarterS;
  const rules = plan.rules
    .map((r) => `${r.name} ${r.timeS.toFixed(2)} s at ${r.mph.toFixed(0)} mph`)
    .join(", ");
  return {
    id: "run",
    heading: "The run",
    parts: [
      {
        head: ["run", "eighth mile, s", "quarter mile, s", "end speed, mph"],
        rows: [
          row("engine alone", without),
          row("planned ramps", planned),
          row("all that is allowed", limit),
        ],
        numeric: [1, 2, 3],
      },
      `Driven runs: clutch, slip, lags, the falling bottle, and the controller, which lets nothing flow until about 0.15 s after the pedal is down again after each gear change. The ramps are ${Math.abs(gap).toFixed(2)} s ${gap < 0 ? "quicker" : "slower"} than a run that takes all that tyres and parts allow at every road speed${gap < 0 ? ", which shows that more flow is not always quicker" : ""}.`,
      holdText(plan),
      ...spoolText(plan),
      `Rules of thumb at ${power(plan.base.powerW + plan.added.wantedW)} with full traction: ${rules}. They scatter by about 10 %, and a run limited by the tyres is slower than they predict.`,
      `Window and gear changes: after each change the engine runs at ${plan.rpmAfterShift.map((rpm) => rpm.toFixed(0)).join(", ") || "no"} rpm. The engine alone holds the tyres at their limit for ${plan.overpoweredS.toFixed(1)} s.`,
    ],
  };
}

/** Time over added power: what a smaller shot would run, each with its own window and ramps. */
export const powerSection = ({ powers }: SystemPlan): PlanSection => ({
  id: "powers",
  heading: "Time over added power",
  parts: [
    {
      head: ["hp", "quarter mile, s", "parts"],
      rows: powers.map(({ addedW, quarterS, withinLimits }, i) => [
        `${toUnit(addedW, "hp").toFixed(0)}${i === powers.length - 1 ? " (planned)" : ""}`,
        quarterS.toFixed(2),
        withinLimits ? "held" : "over their limit",
      ]),
      numeric: [0, 1],
    },
    "Each planned like this one, over the same axis and with the same reserve, but roughly and without the steps between jets: good to some 0.03 s. The larger the shot, the later the parts let its window open.",
  ],
});

function stageSection(plan: SystemPlan, stage: PlannedStage, i: number): PlanSection {
  const rows = stage.ramp.map(([at, share]) => [
    axisValueText(plan.axis, at),
    `${(100 * share).toFixed(1)} %`,
  ]);
  const { least, greatest } = plan.valves;
  return {
    id: `ramp-${i + 1}`,
    heading: `Ramp of stage ${i + 1} of ${plan.stages.length} over ${axisName(plan.axis)}`,
    parts: [
      { head: [axisName(plan.axis), "share of the stage's flow"], rows, numeric: [0, 1] },
      `Linear between the points, ends held; never above the share that tyres (with their reserve) and parts allow. The valve makes ${(100 * least).toFixed(0)} to ${(100 * greatest).toFixed(0)} % by pulses and by patterns of pulsed, open and shut periods: below that it stays shut, above it stays open.`,
    ],
  };
}

/** One section for each stage. */
export const rampSection = (plan: SystemPlan): PlanSection[] =>
  plan.stages.map((stage, i) => stageSection(plan, stage, i));
