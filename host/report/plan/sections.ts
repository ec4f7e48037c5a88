// A plan as sections of text and tables in everyday units, from which terminal report and page are made.

import type { SystemPlan } from "#host/plan/system-plan.ts";
import { formatQuantity, toUnit } from "#host/units/format.ts";
import {
  accessorySection,
  activationSection,
  assumptionSection,
  cautionSection,
  checklistSection,
  choiceSection,
  safetySection,
} from "./advice.ts";
import { bottleSection } from "./bottle.ts";
import { firstScreen } from "./first-screen.ts";
import { kindSection } from "./kinds.ts";
import { ladderSection } from "./ladder.ts";
import { proofSection } from "./proof.ts";
import { powerSection, rampSection, runSection } from "./ramps.ts";
import { bore, gauge, type PlanSection, percentOf, power, smallBore } from "./section.ts";

const flow = (kgS: number): string => formatQuantity(kgS, "g/s", 1);

function flowSection(plan: SystemPlan): PlanSection {
  const { sizing } = plan;
  const rows = sizing.steps.map((step) => [
    step.name,
    gauge(step.beforePa, plan.airPa),
    formatQuantity(step.dropPa, "psi", 0),
  ]);
  const { "single-phase": single, equilibrium, blend } = sizing.byModel;
  const { tolerance } = plan.edges;
  const within = (share: number) => flow(blend * (1 + share));
  const weighed = `expect ${within(-tolerance)} to ${within(tolerance)} (+-${percentOf(tolerance)})`;
  const certain = plan.assumptions.some(({ key }) => key === "nitrous.jet-coefficient")
    ? `${weighed} until a timed discharge has been weighed (headgate plan calibrate)`
    : `with the jet coefficient of the car file ${weighed}`;
  return {
    id: "flow",
    heading: "Nitrous and fuel flow",
    parts: [
      `Nitrous ${flow(sizing.nitrousKgS)}, fuel ${flow(sizing.fuelKgS)}, with all stages open at ${gauge(plan.bottle.startPa, plan.airPa)}.`,
      { head: ["restriction", "pressure upstream", "pressure drop"], rows, numeric: [1, 2] },
      `Bores used: bottle valve ${bore(sizing.bores.valveM)}, line ${bore(sizing.bores.lineM)}, solenoids ${sizing.bores.solenoidM.map(bore).join(", ")}.`,
      `How certain is this? The same jets by the three models: single-phase ${flow(single)}, equilibrium ${flow(equilibrium)}, blend ${flow(blend)} (used). For liquid at its boiling point, as in a kit bottle, every model is least accurate: ${certain}.`,
    ],
  };
}

function mixtureSection(plan: SystemPlan): PlanSection {
  const rows = plan.mixture
    .filter((_, i) => i % 2 === 1)
    .map((row) => [
      toUnit(row.bottlePa - plan.airPa, "psi").toFixed(0),
      toUnit(row.temperatureK, "C").toFixed(1),
      toUnit(row.nitrousKgS, "g/s").toFixed(1),
      toUnit(row.addedW, "hp").toFixed(0),
      row.chargeLambda.toFixed(2),
      row.engineLambda.toFixed(3),
    ]);
  return {
    id: "mixture",
    heading: "Mixture and power over bottle pressure",
    parts: [
      {
        head: ["psi gauge", "bottle, C", "nitrous, g/s", "added hp", "lambda, charge", "lambda, engine"],
        rows,
        numeric: [0, 1, 2, 3, 4, 5],
      },
      "A full bottle, jets and fuel pressure unchanged. A cold bottle gives less nitrous for the same fuel: rich. A warm one does the opposite: lean, the more so from about 912 psi gauge on (at the legal fill), where it is full of liquid that is pressed and no longer boils. Partly emptied it boils at any pressure and gives less.",
    ],
  };
}

/** Jets for the day's bottle pressure. */
function daySection(plan: SystemPlan): PlanSection {
  const rows = plan.days.map((day) => [
    toUnit(day.bottlePa - plan.airPa, "psi").toFixed(0),
    day.nitrousJetsM.map(smallBore).join(", "),
    toUnit(day.addedW, "hp").toFixed(0),
    day.chargeLambda.toFixed(2),
  ]);
  const asked = percentOf(plan.added.powerW / plan.added.wantedW);
  return {
    id: "days",
    heading: "Jets for the day's bottle pressure",
    parts: [
      {
        head: ["psi gauge", "nitrous jets of each stage", "added hp", "lambda, charge"],
        rows,
        numeric: [0, 2, 3],
      },
      `A full bottle, fuel jets unchanged. Jets are the nearest on hand (nitrous.jets), else the nearest thousandth of an inch; what one stage lacks the next one gets, and a fuel jet is never smaller than needed. The planned ones give ${asked} of what was asked for.`,
    ],
  };
}

/** Which stages may flow at an engine speed. */
function openStages({ stages, window }: SystemPlan, rpm: number): string {
  const open = stages.filter(({ openRpm }) => rpm >= openRpm).length;
  if (open === 0 || rpm > window.closeRpm) return "shut";
  return stages.length === 1 ? "open" : `${open} of ${stages.length} stages`;
}

function torqueSection(plan: SystemPlan): PlanSection {
  const rows = plan.torque
    .filter((row) => row.rpm % 500 === 0 && row.rpm >= 2500)
    .map((row) => [
      String(row.rpm),
      row.engineNm.toFixed(0),
      row.withNm.toFixed(0),
      row.highNm.toFixed(0),
      row.limitNm === undefined ? "-" : row.limitNm.toFixed(0),
      openStages(plan, row.rpm),
    ]);
  const { largest, base, added } = plan;
  const most =
    largest === undefined
      ? "No part limits were given."
      : `At the best opening speed the limits given allow ${power(largest.addedW)} of nitrous; here the limiting part is the ${largest.part} at ${largest.rpm} rpm.`;
  return {
    id: "torque",
    heading: "Torque against limits",
    parts: [
      {
        head: ["rpm", "engine, Nm", "with nitrous, Nm", "at the edge, Nm", "limit, Nm", "window"],
        rows,
        numeric: [0, 1, 2, 3, 4],
      },
      `Nitrous adds about the same power at any engine speed, so its torque grows as the engine slows. The window keeps the upper edge of flow and bottle under every limit; where there are several stages, each opens as soon as the parts bear it with those before it. ${most} Never below 3000 rpm (common practice, no source).`,
      `With full nitrous each of ${base.cylinders} cylinders makes ${power(added.perCylinderW)}, up to ${power(added.perCylinderHighW[1])} at the edges of flow and bottle. The nitrous adds ${percentOf(added.shareOfBase)} to the engine's own power.`,
      `Ignition retard ${plan.retardDeg.toFixed(1)} degrees at full flow, in step with the share (about 2 degrees for 50 hp: common practice, no source; not a safe value by itself).`,
    ],
  };
}

function fuelSection(plan: SystemPlan): PlanSection {
  const rows = (["pump", "injectors"] as const).flatMap((part) => {
    const headroom = plan[part];
    if (headroom === undefined) return [[part, "-", "-", "size not given"]];
    const name = part === "injectors" ? "injectors, 85 % duty" : "pump";
    return [[name, flow(headroom.neededKgS), flow(headroom.fittedKgS), percentOf(headroom.share)]];
  });
  const dry = plan.dryInjectorS;
  const added =
    dry === undefined
      ? []
      : [
          `The engine computer must add ${formatQuantity(dry.atOpenS, "ms", 2)} of injector time at ${plan.window.openRpm} rpm and ${formatQuantity(dry.atCloseS, "ms", 2)} at ${plan.window.closeRpm} rpm, in step with the share.`,
        ];
  const through =
    plan.kind === "wet"
      ? "The pump feeds engine and nitrous; the injectors feed the engine alone."
      : "Pump and injectors feed both engine and nitrous.";
  return {
    id: "fuel",
    heading: "Fuel system",
    parts: [{ head: ["part", "needed", "fitted", "used"], rows, numeric: [1, 2, 3] }, through, ...added],
  };
}

/** All sections in reading order. */
export function planSections(plan: SystemPlan): PlanSection[] {
  return [
    firstScreen(plan),
    cautionSection(plan),
    safetySection(plan),
    choiceSection(plan),
    kindSection(plan),
    accessorySection(plan),
    activationSection(),
    flowSection(plan),
    mixtureSection(plan),
    daySection(plan),
    fuelSection(plan),
    torqueSection(plan),
    runSection(plan),
    powerSection(plan),
    ...proofSection(plan),
    ...rampSection(plan),
    bottleSection(plan),
    ladderSection(plan),
    checklistSection(plan),
    ...assumptionSection(plan),
  ];
}
