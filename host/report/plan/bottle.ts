// The bottle of a plan as a section.
import type { SystemPlan } from "#host/plan/system-plan.ts";
import { formatQuantity, toUnit } from "#host/units/format.ts";
import { gauge, type PlanSection } from "./section.ts";

const MOST_ROWS = 8;
const minutes = (seconds: number): string =>
  seconds < 90 ? `${seconds.toFixed(0)} s` : `${(seconds / 60).toFixed(1)} min`;

/** Mass a run, runs a fill, pressure and temperature, heater, hot soak, fill limit. */
export function bottleSection(plan: SystemPlan): PlanSection {
  const { bottle, airPa } = plan;
  const soak = bottle.soaks.map(
    (s) =>
      `${toUnit(s.temperatureK, "C").toFixed(0)} C: ${toUnit(s.pressurePa - airPa, "psi").toFixed(0)}${s.singlePhase ? " (no vapour left)" : ""}`,
  );
  const rows = bottle.runs
    .slice(0, MOST_ROWS)
    .map((run, i) => [
      String(i + 1),
      formatQuantity(run.usedKg, "lb", 2),
      gauge(run.endPa, airPa),
      minutes(run.heaterS),
    ]);
  const full = `${(bottle.fullDensityKgM3 / 10).toFixed(0)} %`;
  return {
    id: "bottle",
    heading: "The bottle",
    parts: [
      `A run uses ${formatQuantity(bottle.usedKg, "lb", 2)} (${formatQuantity(bottle.usedKg, "kg", 2)}). Pressure falls from ${gauge(bottle.startPa, airPa)} to ${gauge(bottle.endPa, airPa)}, the liquid cools to ${toUnit(bottle.endTemperatureK, "C").toFixed(1)} C. A fill gives ${bottle.runs.length} runs that end within 15 % of the starting pressure, if the heater brings it back between them.`,
      { head: ["run", "takes", "ends at", "heater needs"], rows, numeric: [1, 2, 3] },
      `Heater from ${toUnit(bottle.warmFromK, "C").toFixed(0)} C with a full bottle: ${minutes(bottle.warmUpS)}; heat lost to the air is neglected. Heat from the metal during a run is neglected too, so the true pressure stays a little higher.`,
      `Full after a soak, psi gauge: ${soak.join("; ")}. Never above 52 C.`,
      `Filled to ${full} of its water capacity by weight; 68 % is the legal maximum (49 CFR 173.304a, as restated publicly). At 68 % it is full of liquid from 30.6 C on: a full bottle cannot stand at 950 psi gauge with vapour in it. Fill by weight only.`,
    ],
  };
}
