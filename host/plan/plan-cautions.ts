/** The cautions of a plan: what this goal risks, and what always applies. A `stop` prevents the settings file from being written. */
import { isAbove, isBelow } from "#host/units/compare.ts";
import { toUnit } from "#host/units/format.ts";
import { FLOW_NOTICE, SAFETY_NOTICES } from "#shared-schema/model/safety-notices.ts";
import type { PlanInput } from "./input/plan-input.ts";
import { gaugePsi } from "./nitrous/mixture.ts";
import type { PlanFacts } from "./recommend.ts";
import type { Caution } from "./system-plan.ts";

const hp = (watts: number) => `${toUnit(watts, "hp").toFixed(0)} hp`;
const PRACTICE = "common practice, no source";

const ALWAYS: readonly Caution[] = [...SAFETY_NOTICES, FLOW_NOTICE].map(({ text, instead = "" }) => ({
  level: "always",
  text,
  instead,
}));

type Say = (level: Caution["level"], text: string, instead: string) => void;

function partCautions(input: PlanInput, facts: PlanFacts, say: Say): void {
  const { window, largest, added } = facts;
  if (!window.withinLimits && largest !== undefined) {
    const most = `${Math.floor(toUnit(largest.addedW, "hp"))} hp`;
    const where = `the limit of the ${largest.part} at ${largest.rpm} rpm leaves room for less than ${hp(added.wantedW)}`;
    const text = `The goal exceeds the limits given for the parts: ${where}, at any opening speed.`;
    say("stop", text, `plan for at most ${most}, or upgrade the ${largest.part}`);
  }
  if (input.limits.length === 0)
    say(
      "caution",
      "No limits for rods, clutch or gearbox were given, so the torque was not checked against any.",
      "give limits in the car file",
    );
  if (isAbove(added.shareOfBase, 1))
    say(
      "caution",
      `The nitrous makes more power than the engine (${(100 * added.shareOfBase).toFixed(0)} %).`,
      `use an engine built for it; standard parts are commonly kept to about half of the engine's power (${PRACTICE})`,
    );
  else if (isAbove(added.shareOfBase, 0.5))
    say(
      "caution",
      `The nitrous adds ${(100 * added.shareOfBase).toFixed(0)} % to the engine's power; standard pistons and rods are commonly kept to about half (${PRACTICE}).`,
      "fit forged parts, or choose a smaller goal",
    );
  if (input.perCylinderW !== undefined && isAbove(added.perCylinderW, input.perCylinderW)) {
    const most = input.perCylinderW * input.engine.cylinders - input.engine.powerW;
    say(
      "stop",
      `Each cylinder would make ${hp(added.perCylinderW)}, more than the limit of ${hp(input.perCylinderW)} given for it.`,
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
      "give fuel.pump-flow, at working pressure",
    );
  else if (isAbove(facts.pump.share, 1))
    say(
      "stop",
      over("The fuel pump", facts.pump.share),
      "fit a larger pump, or a separate fuel system for the nitrous",
    );
  else if (isAbove(facts.pump.share, 0.85))
    say("caution", over("The fuel pump", facts.pump.share), "fit a larger pump");
  if (facts.kind === "dry" && facts.injectors === undefined)
    say(
      "stop",
      "A dry system needs the injector flow to show that the fuel can be added.",
      "give fuel.injector-flow",
    );
  if (facts.injectors !== undefined && isAbove(facts.injectors.share, 1)) {
    say(
      facts.kind === "dry" ? "stop" : "caution",
      over("The injectors (85 % duty)", facts.injectors.share),
      facts.kind === "dry"
        ? "fit larger injectors, or choose a wet system"
        : "fit larger injectors: the engine alone already needs them",
    );
  }
}

function runCautions(input: PlanInput, facts: PlanFacts, say: Say): void {
  const { openRpm } = facts.window;
  const low = facts.rpmAfterShift.filter((rpm) => isBelow(rpm, openRpm));
  if (low.length > 0)
    say(
      "caution",
      `After ${low.length} of the gear changes the engine runs below the opening speed (${openRpm} rpm); nitrous stays off there.`,
      "shift later, or fit closer gear ratios",
    );
  if (isAbove(facts.overpoweredS, 0.5))
    say(
      "caution",
      `For ${facts.overpoweredS.toFixed(1)} s of the run the engine alone is at the tyres' limit; nitrous adds nothing there.`,
      "improve grip before adding power: tyres, suspension, weight",
    );
  if (!input.control.throttleSwitch) {
    const text =
      "Without a full-throttle switch the plan cannot prove full throttle, because it does not know the calibration of a throttle sensor.";
    say("stop", text, "fit a switch, or write the settings by hand with throttle.position");
  }
  const flowing = facts.trace.filter((row) => row.open);
  const most = Math.max(0, ...flowing.map((row) => row.share));
  if (isBelow(most, 0.98))
    say(
      "caution",
      `Tyres, parts or valves never allow more than ${(100 * most).toFixed(0)} % of the flow in this run.`,
      "a smaller goal gives the same run with smaller jets",
    );
  if (facts.axis === "launch" && input.goal.axis === undefined)
    say(
      "caution",
      "A ramp over time cannot see a bad start: it rises as if the car were already up to speed.",
      "fit a road speed sensor at an undriven wheel",
    );
  if (facts.axis === "road-speed" && input.control.roadSender !== "undriven-wheel")
    say(
      "caution",
      `The road speed sender counts a driven part (${input.control.roadSender}): when the tyres spin it reads too fast, and the ramp then adds nitrous.`,
      "a sender at an undriven wheel with controls.road-sender: undriven-wheel, or goal.ramp: launch",
    );
}

function bottleCautions(facts: PlanFacts, say: Say): void {
  const { bottle, airPa } = facts;
  const psi = (pa: number) => `${gaugePsi(pa, airPa).toFixed(0)} psi gauge`;
  if (bottle.singlePhaseAtStart)
    say(
      "caution",
      `Filled to ${(bottle.fullDensityKgM3 / 10).toFixed(0)} % of its water capacity, the bottle is completely full of liquid at ${psi(bottle.startPa)}: it has no vapour cushion, and its pressure rises by about 48 psi for each degree.`,
      "use 900 psi gauge with a full bottle",
    );
  const hot = bottle.soaks.at(-1)!;
  say(
    "caution",
    `A full bottle soaked at 52 C reaches ${psi(hot.pressurePa)}; the critical point lies at 1036 psi gauge (36.4 C), beyond which there is no liquid and pressure no longer shows the contents.`,
    "keep it in the shade; the top of the customary window of 900 to 1050 psi is already beyond the critical point",
  );
  if (bottle.runs.length < 2)
    say(
      "caution",
      `The bottle gives ${bottle.runs.length} run(s) before its pressure falls by more than 15 %.`,
      "fit a larger bottle",
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
