// The ladder of a plan as a section: from the first run to the goal, what each step should show, and when to stop.
import type { SystemPlan } from "#host/plan/system-plan.ts";
import { toUnit } from "#host/units/format.ts";
import type { PlanSection, PlanTable } from "./section.ts";

/** Steps as a table. */
export const ladderTable = ({ ladder }: SystemPlan): PlanTable => ({
  head: ["step", "stages", "ramp x", "hp", "N2O g/s", "retard", "lambda", "1/4 mile, s"],
  rows: ladder.map((step, i) => [
    String(i + 1),
    step.stages === 1 ? "1" : `1 to ${step.stages}`,
    step.factor.toFixed(2),
    toUnit(step.addedW, "hp").toFixed(0),
    toUnit(step.nitrousKgS, "g/s").toFixed(1),
    step.retardDeg.toFixed(1),
    step.engineLambda.toFixed(2),
    step.quarterS.toFixed(2),
  ]),
  numeric: [0, 2, 3, 4, 5, 6, 7],
});

/** What ends the climb. */
export const LADDER_STOPS: readonly string[] = [
  "a lambda leaner than the step's by more than 0.03, or fuel pressure that falls while it flows",
  "specks of metal, or a burnt or blistered insulator, on any plug; any knock",
  "a trip or a hold-off in the log that you cannot explain",
  "less gain than half of the step's: something is not as planned",
];

/** The section. */
export const ladderSection = (plan: SystemPlan): PlanSection => ({
  id: "ladder",
  heading: "The ladder: from the first run to the goal",
  parts: [
    ladderTable(plan),
    "Multiply the shares of the last of the step's stages by its factor, set those of all stages after it to 0 %, load, and make one run with the engine alone and two with nitrous. The factor is of full flow; time is what this model gives. Lambda is the whole engine's at full flow of the step.",
    "After each step read the plugs of all cylinders, the log (bottle and fuel pressure inside their windows, what held off or tripped, slip after each gear change) and the mixture. Go up only when all of them are as expected.",
    ...LADDER_STOPS.map((text) => `- Stop at ${text}.`),
  ],
});
