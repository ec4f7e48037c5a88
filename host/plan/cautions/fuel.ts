/** What the fuel system must deliver beside the nitrous. */
import { isAbove, isBelow } from "#host/units/compare.ts";
import { HORSEPOWER_W, PSI_PA } from "#host/units/constants.ts";
import { toUnit } from "#host/units/format.ts";
import type { PlanInput } from "../input/plan-input.ts";
import type { PlanFacts } from "../system-plan.ts";
import { hp, percent } from "../words.ts";
import type { Say } from "./say.ts";

/** Above this added power the pump must be known (judgement, no source). */
const UNKNOWN_PUMP_W = 50 * HORSEPOWER_W;
/** Fuel pressure should exceed manifold pressure by this much, Pa, or a small error of either moves the mixture (judgement). */
const LEAST_DROP_PA = 20 * PSI_PA;
const LEAST_CARBURETTOR_PA = 4 * PSI_PA;
/** Below this part of that, one psi more of boost or less of fuel pressure costs the nitrous charge its fuel: nothing is written. */
const STOP_SHARE = 0.5;

const over = (name: string, share: number) => `${name} would be at ${percent(share)} of what it can deliver.`;

function pumpCaution({ pump, added }: PlanFacts, say: Say): void {
  if (pump === undefined) {
    const stops = isAbove(added.powerW, UNKNOWN_PUMP_W);
    say({
      level: stops ? "stop" : "caution",
      name: "fuel-pump",
      short: "its flow is unknown",
      text: `The fuel pump's flow was not given; nothing shows that it feeds ${hp(added.powerW)} more.`,
      instead: `give fuel.pump-flow, at working pressure${stops ? "; else answer for it with acknowledged.fuel-pump and a reason" : ""}`,
    });
  } else if (isAbove(pump.share, 0.85))
    say({
      level: isAbove(pump.share, 1) ? "stop" : "caution",
      name: "fuel-pump-small",
      short: `at ${percent(pump.share)} of its flow`,
      text: over("The fuel pump", pump.share),
      instead: "fit a larger pump, or a separate fuel system for the nitrous",
    });
}

function injectorCaution({ kind, injectors }: PlanFacts, say: Say): void {
  const dry = kind === "dry";
  if (injectors === undefined) {
    if (dry)
      say({
        level: "stop",
        name: "injectors",
        short: "their flow is unknown",
        text: "A dry system needs the injector flow to show that the fuel can be added.",
        instead: "give fuel.injector-flow",
      });
    return;
  }
  if (!isAbove(injectors.share, 1)) return;
  say({
    level: dry ? "stop" : "caution",
    name: "injectors-small",
    short: `at ${percent(injectors.share)} of 85 % duty`,
    text: over("The injectors (85 % duty)", injectors.share),
    instead: dry
      ? "fit larger injectors, or choose a wet system"
      : "fit larger injectors: the engine alone already needs them",
  });
}

function pressureCaution(input: PlanInput, { kind }: PlanFacts, say: Say): void {
  const drop = input.fuel.gaugePa - input.engine.boostPa;
  const least = input.engine.carburettor ? LEAST_CARBURETTOR_PA : LEAST_DROP_PA;
  if (kind !== "wet" || !isBelow(drop, least)) return;
  const left = `${toUnit(drop, "psi").toFixed(1)} psi`;
  say({
    level: isBelow(drop, STOP_SHARE * least) ? "stop" : "caution",
    name: "fuel-pressure",
    short: `only ${left} above manifold pressure`,
    text: `Fuel pressure is only ${left} above manifold pressure at full boost: a few psi of either move the mixture of the nitrous charge.`,
    instead:
      "raise fuel pressure, or let its regulator follow manifold pressure and give fuel.pressure at full boost",
  });
}

/** Cautions about pump, injectors and fuel pressure. */
export function fuelCautions(input: PlanInput, facts: PlanFacts, say: Say): void {
  pumpCaution(facts, say);
  injectorCaution(facts, say);
  pressureCaution(input, facts, say);
}
