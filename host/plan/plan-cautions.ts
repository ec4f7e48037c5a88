/** What must be said with a plan: what this goal risks, and what always holds. A `stop` keeps settings from being written. */
import { toUnit } from "#host/units/format.ts";
import type { PlanInput } from "./input/plan-input.ts";
import { gaugePsi } from "./nitrous/mixture.ts";
import type { PlanFacts } from "./recommend.ts";
import type { Caution } from "./system-plan.ts";

const hp = (watts: number) => `${toUnit(watts, "hp").toFixed(0)} hp`;
const PRACTICE = "common practice, no source";

const ALWAYS: readonly Caution[] = [
  [
    "Follow the maker's instructions for every part; a licensed practitioner and the local code rule over this tool.",
    "",
  ],
  [
    "A bottle is a pressure vessel: it needs its periodic requalification, a working relief, and filling by weight only.",
    "",
  ],
  [
    "Never heat a bottle with a flame; never above 52 C.",
    "use a heater that a pressure or thermostat controls",
  ],
  ["Relief and purge vent outside the cabin, away from people and ignition.", ""],
  ["Never nitrous without added fuel; nozzles aimed at the engine; ignition timing first.", ""],
  [
    "Every flow model is at its worst for liquid at its boiling point, as in a kit bottle: expect about +-20 % in nitrous flow until a bottle has been weighed.",
    "headgate plan weigh",
  ],
].map(([text, instead]) => ({ level: "always", text: text!, instead: instead! }));

type Say = (level: Caution["level"], text: string, instead: string) => void;

function partCautions(input: PlanInput, facts: PlanFacts, say: Say): void {
  const { window, largest, added } = facts;
  if (!window.withinLimits && largest !== undefined) {
    const most = `${Math.floor(toUnit(largest.addedW, "hp"))} hp`;
    const where = `the ${largest.part} at ${largest.rpm} rpm leaves room for less than ${hp(added.wantedW)}`;
    const text = `The goal is past what the parts are said to stand: ${where}, at any opening speed.`;
    say("stop", text, `plan for at most ${most}, or fit a stronger ${largest.part}`);
  }
  if (input.limits.length === 0)
    say(
      "caution",
      "No limits of rods, clutch or gearbox were given; torque was not held against anything.",
      "give limits in the car file",
    );
  if (added.shareOfBase > 1)
    say(
      "caution",
      `The nitrous makes more power than the engine (${(100 * added.shareOfBase).toFixed(0)} %).`,
      `an engine built for it; about half of the engine's power is where standard parts are commonly left (${PRACTICE})`,
    );
  else if (added.shareOfBase > 0.5)
    say(
      "caution",
      `The nitrous adds ${(100 * added.shareOfBase).toFixed(0)} % to the engine's power; standard pistons and rods are commonly left at about half (${PRACTICE}).`,
      "forged parts, or a smaller goal",
    );
  if (input.perCylinderW !== undefined && added.perCylinderW > input.perCylinderW) {
    const most = input.perCylinderW * input.engine.cylinders - input.engine.powerW;
    say(
      "stop",
      `Each cylinder would make ${hp(added.perCylinderW)}, more than the ${hp(input.perCylinderW)} said to be its limit.`,
      `plan for at most ${hp(Math.max(0, most))}`,
    );
  }
}

function fuelCautions(facts: PlanFacts, say: Say): void {
  const over = (name: string, share: number) =>
    `${name} would be at ${(100 * share).toFixed(0)} % of what it can deliver.`;
  if (facts.pump === undefined)
    say(
      "caution",
      "The fuel pump's flow was not given; its headroom is unknown.",
      "fuel.pump-flow, at working pressure",
    );
  else if (facts.pump.share > 1)
    say(
      "stop",
      over("The fuel pump", facts.pump.share),
      "a larger pump, or a fuel system of its own for the nitrous",
    );
  else if (facts.pump.share > 0.85) say("caution", over("The fuel pump", facts.pump.share), "a larger pump");
  if (facts.kind === "dry" && facts.injectors === undefined)
    say(
      "stop",
      "A dry system needs the injector flow to show that the fuel can be added.",
      "fuel.injector-flow",
    );
  if (facts.injectors !== undefined && facts.injectors.share > 1) {
    say(
      facts.kind === "dry" ? "stop" : "caution",
      over("The injectors (85 % duty)", facts.injectors.share),
      facts.kind === "dry"
        ? "larger injectors, or a wet system"
        : "larger injectors: the engine alone already needs them",
    );
  }
}

function runCautions(input: PlanInput, facts: PlanFacts, say: Say): void {
  const { openRpm } = facts.window;
  const low = facts.rpmAfterShift.filter((rpm) => rpm < openRpm);
  if (low.length > 0)
    say(
      "caution",
      `After ${low.length} of the gear changes the engine turns under the opening speed (${openRpm} rpm); nitrous waits there.`,
      "shift later, or a closer gearbox",
    );
  if (facts.overpoweredS > 0.5)
    say(
      "caution",
      `For ${facts.overpoweredS.toFixed(1)} s of the run the engine alone is at the tyres' limit; nitrous adds nothing there.`,
      "grip before power: tyres, suspension, weight",
    );
  if (!input.control.throttleSwitch) {
    const text =
      "Without a full-throttle switch the plan cannot prove full throttle: it knows no throttle sensor's calibration.";
    say("stop", text, "fit a switch, or write the settings by hand with throttle.position");
  }
  const flowing = facts.trace.filter((row) => row.open);
  const most = Math.max(0, ...flowing.map((row) => row.share));
  if (most < 0.98)
    say(
      "caution",
      `Tyres, parts or valves never take more than ${(100 * most).toFixed(0)} % of the flow in this run.`,
      "a smaller goal gives the same run with smaller jets",
    );
  if (facts.axis === "launch" && input.goal.axis === undefined)
    say(
      "caution",
      "A ramp over time does not know about a bad start: it goes on as if the car were already fast.",
      "fit a road speed sensor",
    );
}

function bottleCautions(facts: PlanFacts, say: Say): void {
  const { bottle, airPa } = facts;
  const psi = (pa: number) => `${gaugePsi(pa, airPa).toFixed(0)} psi gauge`;
  if (bottle.singlePhaseAtStart)
    say(
      "caution",
      `Filled to ${(bottle.fullDensityKgM3 / 10).toFixed(0)} % of its water capacity the bottle is full of liquid at ${psi(bottle.startPa)}: no vapour cushion, and about 48 psi more for each degree.`,
      "use 900 psi gauge with a full bottle",
    );
  const hot = bottle.soaks.at(-1)!;
  say(
    "caution",
    `A full bottle soaked at 52 C reaches ${psi(hot.pressurePa)}; the critical point lies at 1036 psi gauge (36.4 C), beyond which there is no liquid and pressure no longer tells the contents.`,
    "keep it shaded; the top of the customary window of 900 to 1050 psi is already beyond",
  );
  if (bottle.runs.length < 2)
    say(
      "caution",
      `The bottle gives ${bottle.runs.length} run(s) before its pressure falls by more than 15 %.`,
      "a larger bottle",
    );
}

/** All cautions of a plan, stops first. */
export function cautionsFor(input: PlanInput, facts: PlanFacts): Caution[] {
  const found: Caution[] = [];
  const say: Say = (level, text, instead) => found.push({ level, text, instead });
  partCautions(input, facts, say);
  fuelCautions(facts, say);
  runCautions(input, facts, say);
  bottleCautions(facts, say);
  const stops = found.filter((c) => c.level === "stop");
  return [...stops, ...found.filter((c) => c.level !== "stop"), ...ALWAYS];
}
