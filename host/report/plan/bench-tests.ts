// The bench tests of a plan: what is measured before any run, and the reading to expect.
import type { SystemPlan } from "#host/plan/system-plan.ts";
import { toUnit } from "#host/units/format.ts";
import { benchPressure, gauge, millilitres } from "./section.ts";

/** So much nitrous, kg, is weighed well enough on a scale of 10 g that the calibration takes it; time in whole fives, s. */
const WEIGHED_KG = 0.36;
const LEAST_DISCHARGE_S = 10;
const dischargeS = (kgS: number): number => Math.max(LEAST_DISCHARGE_S, 5 * Math.ceil(WEIGHED_KG / kgS / 5));

const FUEL_WITHIN = 0.05;
const BLANK = "________";

function fuelTests(plan: SystemPlan): string[][] {
  const { densityKgM3 } = plan.fuelTest;
  return plan.stages.flatMap((stage, i) => {
    if (stage.fuelJetM === undefined) return [];
    const ml = millilitres(stage.fuelKgS, densityKgM3);
    const [low, high] = [1 - FUEL_WITHIN, 1 + FUEL_WITHIN].map((factor) => (ml * factor).toFixed(0));
    return [
      [
        `stage ${i + 1}: fuel through its jets, 30 s at ${benchPressure(plan)}`,
        `${ml.toFixed(0)} ml (${low} to ${high})`,
        BLANK,
      ],
    ];
  });
}

function nitrousTest({ firstAloneKgS, edges, bottle, airPa }: SystemPlan): string[] {
  const timeS = dischargeS(firstAloneKgS);
  const grams = firstAloneKgS * timeS * 1000;
  const [low, high] = [1 - edges.tolerance, 1 + edges.tolerance].map((factor) => (grams * factor).toFixed(0));
  return [
    `stage 1 alone: bottle weighed before and after ${timeS} s of flow, outdoors, ${gauge(bottle.startPa, airPa)}`,
    `${grams.toFixed(0)} g lighter (${low} to ${high}); then headgate plan calibrate`,
    BLANK,
  ];
}

/** Rows of test, reading to expect, and a place to write. */
export function benchTests(plan: SystemPlan): string[][] {
  const { dryInjectorS: dry, retardDeg } = plan;
  const half = (degrees: number) => degrees.toFixed(1);
  return [
    ...fuelTests(plan),
    ...(dry === undefined
      ? []
      : [
          [
            "injector time that the engine computer adds at the opening speed",
            `${toUnit(dry.atOpenS, "ms").toFixed(2)} ms`,
            BLANK,
          ],
        ]),
    nitrousTest(plan),
    [
      "timing light, with half and with all of the retard requested",
      `${half(retardDeg / 2)} and ${half(retardDeg)} degrees later`,
      BLANK,
    ],
    [
      "both ways to off, bottle shut: arm switch, and the relay with the board unplugged",
      "no coil clicks",
      BLANK,
    ],
  ];
}
