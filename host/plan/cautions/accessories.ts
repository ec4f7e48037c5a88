/** What purge and heater cannot do as the controller switches them. */
import { isAbove } from "#host/units/compare.ts";
import { heaterLongestS, LONGEST_PRESS_S } from "../accessory-settings.ts";
import type { PlanFacts } from "../system-plan.ts";
import { psi, warmUpText } from "../words.ts";
import type { Say } from "./say.ts";

const minutes = (seconds: number): string => `${(seconds / 60).toFixed(0)} min`;

function purgeCaution({ accessories: { purge } }: PlanFacts, say: Say): void {
  if (!isAbove(purge.pressS, LONGEST_PRESS_S)) return;
  const press = `${purge.pressS.toFixed(0)} s`;
  say({
    level: "caution",
    name: "purge-slow",
    short: `the line takes ${press}, a press lasts ${LONGEST_PRESS_S} s at most`,
    text: `The purge takes ${press} to fill the line with liquid; the controller ends a press after ${LONGEST_PRESS_S} s, so that the first run begins with vapour in the line.`,
    instead: "a larger purge (nitrous.purge-bore), a shorter or thinner line, or two presses",
  });
}

/** The sensor lies behind the bottle valve; only a valve that the controller opens tells it that it sees the bottle. */
function shutCaution({ accessories, bottle, airPa }: PlanFacts, say: Say): void {
  if (accessories.onController.includes("bottleValve")) return;
  const longest = minutes(heaterLongestS(bottle));
  const hot = psi(bottle.soaks.at(-1)!.pressurePa, airPa);
  say({
    level: "caution",
    name: "heater-blind",
    short: `behind a shut bottle valve it heats for up to ${longest}`,
    text: `The bottle's sensor lies behind the bottle valve: with the valve shut by hand the controller takes what is left in the line for the bottle and heats for up to ${longest}, whatever the bottle has (not below 1000 kPa gauge, where it sees that none is open). A full one at ${psi(bottle.startPa, airPa)} would be at 52 C (${hot}) after ${minutes(bottle.overheatS)}.`,
    instead:
      "switch the heater on only with the bottle open, behind a thermostat or pressure switch at the bottle itself; with controls.bottle-valve: yes the controller heats only while its valve is open",
  });
}

function weakCaution({ bottle }: PlanFacts, say: Say): void {
  const longestS = heaterLongestS(bottle);
  if (!isAbove(bottle.warmUpS, longestS)) return;
  say({
    level: "caution",
    name: "heater-weak",
    short: `needs ${warmUpText(bottle)}, heats ${minutes(longestS)} at a stretch`,
    text: `The heater needs ${warmUpText(bottle)}; the controller heats for ${minutes(longestS)} at a stretch, the most that its settings take.`,
    instead:
      "a stronger heater (nitrous.heater), a warmer place, or its switch off and on again after a look at the gauge",
  });
}

/** Cautions about what the controller switches beside the stages. */
export function accessoryCautions(facts: PlanFacts, say: Say): void {
  const { onController } = facts.accessories;
  if (onController.includes("purge")) purgeCaution(facts, say);
  if (!onController.includes("heater")) return;
  shutCaution(facts, say);
  weakCaution(facts, say);
}
