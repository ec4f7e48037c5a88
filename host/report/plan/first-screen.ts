// The first screen of a plan: what to fit and set, how far it may be off, and what is risky about this car; 24 lines of 80 columns.
import { fuelSwitchText } from "#host/plan/accessories.ts";
import { LOWEST_BATTERY_MV } from "#host/plan/settings-document.ts";
import type { Caution, PlannedStage, SystemPlan } from "#host/plan/system-plan.ts";
import { toUnit } from "#host/units/format.ts";
import { assumedLine } from "./advice.ts";
import { proofLine } from "./proof.ts";
import { axisName } from "./ramps.ts";
import { benchPressure, millilitres, type PlanSection, type PlanTable, smallBore } from "./section.ts";

const hp = (watts: number): string => toUnit(watts, "hp").toFixed(0);
const psi = (pascal: number): string => toUnit(pascal, "psi").toFixed(0);
const grams = (kgS: number): string => toUnit(kgS, "g/s").toFixed(1);
const range = ([low, high]: readonly [number, number], digits: number): string =>
  low.toFixed(digits) === high.toFixed(digits)
    ? low.toFixed(digits)
    : `${low.toFixed(digits)} to ${high.toFixed(digits)}`;

/** Words for the engine's power in the air of the place, where that differs. */
function ownPower({ base, site }: SystemPlan): string {
  const rated = `${hp(base.powerW)} hp`;
  return Math.abs(base.siteW / base.powerW - 1) < 0.01
    ? rated
    : `${rated} (${hp(base.siteW)} at ${site.heightM.toFixed(0)} m, ${toUnit(site.temperatureK, "C").toFixed(0)} C)`;
}

function systemLines(plan: SystemPlan): string[] {
  const { added, ranges } = plan;
  const count = plan.stages.length === 1 ? "one stage" : `${plan.stages.length} stages`;
  const [low, high] = ranges.addedW.map(hp);
  return [
    `System: ${plan.kind}, ${plan.layout}, ${plan.fuelName}, ${count} over ${axisName(plan.axis)}.`,
    `Power: ${hp(added.powerW)} hp (${low} to ${high}) on ${ownPower(plan)}; asked for ${hp(added.wantedW)}.`,
  ];
}

const stageRow = (plan: SystemPlan, stage: PlannedStage, i: number): string[] => [
  String(i + 1),
  `${stage.nozzles} x ${smallBore(stage.nitrousJetM)}`,
  stage.fuelJetM === undefined ? "engine computer" : `${stage.nozzles} x ${smallBore(stage.fuelJetM)}`,
  grams(stage.nitrousKgS),
  grams(stage.fuelKgS),
  stage.fuelJetM === undefined ? "-" : millilitres(stage.fuelKgS, plan.fuelTest.densityKgM3).toFixed(0),
];

/** Jets and flows of each stage, and what its fuel jets must pass in the bench test. */
export const stageTable = (plan: SystemPlan): PlanTable => ({
  head: ["stage", "nitrous jets", "fuel jets", "N2O g/s", "fuel g/s", "ml in 30 s"],
  rows: plan.stages.map((stage, i) => stageRow(plan, stage, i)),
  numeric: [3, 4, 5],
});

/** Stages that open later than the system. */
const laterStages = ({ stages, window }: SystemPlan): string =>
  stages
    .map(({ openRpm, offMS }, i) => {
      const later = openRpm > window.openRpm ? `, stage ${i + 1} from ${openRpm}` : "";
      return offMS === undefined
        ? later
        : `${later}, stage ${i + 1} up to ${toUnit(offMS, "km/h").toFixed(0)} km/h`;
    })
    .join("");

const seconds = (time: number | undefined): string =>
  time === undefined ? "never" : `after ${time.toFixed(1)} s`;

/** What the stage that brings the turbocharger up gains and costs. */
const boostLine = ({ spool, airPa }: SystemPlan): string[] =>
  spool === undefined
    ? []
    : [
        `Boost: stage ${spool.stage + 1} until ${psi(spool.offPa - airPa)} psi: ${seconds(spool.withS)}, without it ${seconds(spool.withoutS)}; up to ${spool.addedNm.toFixed(0)} Nm from it at ${spool.openRpm} rpm.`,
      ];

function settingLines(plan: SystemPlan): string[] {
  const { sizing, mixtureRange, window, bottleWindow, airPa, ranges, bottle, runs } = plan;
  const at = plan.mixture.reduce((a, b) =>
    Math.abs(b.bottlePa - bottle.startPa) < Math.abs(a.bottlePa - bottle.startPa) ? b : a,
  );
  const lambdas = range([mixtureRange.rich.lambda, mixtureRange.lean.lambda], 2);
  const inside = `${psi(bottleWindow.lowestPa - airPa)} to ${psi(bottleWindow.highestPa - airPa)} psi gauge`;
  const goal = plan.goalS === undefined ? "" : `; asked for ${plan.goalS.toFixed(2)} s`;
  const opens = fuelSwitchText(plan.accessories.fuelSwitchPa, plan.kinds.boostPa);
  const tested =
    plan.kind === "wet"
      ? ` Fuel is measured at ${benchPressure(plan)}; a pressure switch beside the arm switch, in series, must open below ${opens}.`
      : "";
  return [
    `Ratio: ${(sizing.nitrousKgS / sizing.fuelKgS).toFixed(1)} kg of nitrous a kg of fuel; lambda of the charge ${at.chargeLambda.toFixed(2)} (${lambdas}).${tested}`,
    `Window: ${window.openRpm} to ${window.closeRpm} rpm${laterStages(plan)}; bottle ${inside}, jets sized for ${psi(bottle.startPa - airPa)}.`,
    ...boostLine(plan),
    `Retard: ${plan.retardDeg.toFixed(1)} degrees at full flow. Highest torque: ${range(ranges.torqueNm, 0)} Nm.`,
    `Run: ${runs.planned.quarterS.toFixed(2)} s (${range(ranges.quarterS, 2)}), engine alone ${runs.without.quarterS.toFixed(2)} s${goal}; ${toUnit(bottle.usedKg, "lb").toFixed(2)} lb, ${range(ranges.runs, 0)} runs a fill.`,
    `Ranges: nitrous flow +-${(100 * plan.edges.tolerance).toFixed(0)} %, the bottle's whole window, battery from ${LOWEST_BATTERY_MV / 1000} V.`,
  ];
}

const WORDS: Readonly<Partial<Record<Caution["level"], string>>> = { stop: "STOP", caution: "CAUTION" };

const cautionLines = ({ cautions }: SystemPlan): string[] =>
  cautions.flatMap(({ level, name, short }) => {
    const word = WORDS[level];
    return word === undefined ? [] : [`${word} ${name}: ${short}.`];
  });

/** The section; cautions stand in full below. */
export const firstScreen = (plan: SystemPlan): PlanSection => ({
  id: "system",
  heading: "The system",
  parts: [
    ...systemLines(plan),
    stageTable(plan),
    ...settingLines(plan),
    ...proofLine(plan),
    ...cautionLines(plan),
    ...assumedLine(plan),
  ],
});
