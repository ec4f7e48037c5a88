// The section about what the control core says of the ramps, and its line on the first screen.
import type { AxisProof, BatteryHeld, HeldTo, RampProof } from "#host/plan/run/ramp-proof.ts";
import type { SystemPlan } from "#host/plan/system-plan.ts";
import { axisName, percent } from "./ramps.ts";
import type { PlanSection } from "./section.ts";

const beyond = ({ failed }: HeldTo): string => (failed ? "" : " or more");
const gripTo = ({ grip }: AxisProof): string => `-${percent(grip.value)}${beyond(grip)}`;
const lateTo = ({ late }: AxisProof): string => `${late.value.toFixed(1)} s${beyond(late)}`;
const volts = ({ lowV, highV }: BatteryHeld): string => `${lowV.toFixed(1)} to ${highV.toFixed(1)} V`;

/** Of both edges of the battery those at which the ramps hold. */
function batteryWords({ battery }: AxisProof): string {
  const { lowV, highV, lowHolds, highHolds } = battery;
  if (lowHolds && highHolds) return volts(battery);
  if (!lowHolds && !highHolds) return "at neither edge";
  return `not at ${(lowHolds ? highV : lowV).toFixed(1)} V`;
}

const spreadWords = ({ runs, medianS, lowS, highS }: RampProof): string =>
  `median ${medianS.toFixed(2)} s of ${runs} runs, 5 to 95 % ${lowS.toFixed(2)} to ${highS.toFixed(2)} s`;

/** In one line. */
export function proofLine({ proof }: SystemPlan): string[] {
  const own = proof?.axes.find(({ axis }) => axis === proof.chosen);
  if (proof === undefined || own === undefined) return [];
  return [
    `On the control core: ${spreadWords(proof)}; holds down to grip ${gripTo(own)}, start ${lateTo(own)} late, battery ${batteryWords(own)}.`,
  ];
}

/** The section; none without a proof. */
export function proofSection({ proof }: SystemPlan): PlanSection[] {
  if (proof === undefined) return [];
  const own = proof.axes.find(({ axis }) => axis === proof.chosen) ?? proof.axes[0]!;
  const rows = proof.axes.map((one) => [
    `${axisName(one.axis)}${one.axis === proof.chosen ? " (chosen)" : ""}`,
    percent(one.reserve),
    one.quarterS.toFixed(2),
    gripTo(one),
    lateTo(one),
    batteryWords(one),
  ]);
  return [
    {
      id: "proof",
      heading: "The ramps on the control core",
      parts: [
        {
          head: ["ramp over", "reserve", "as planned, s", "holds to grip", "start late", "battery"],
          rows,
          numeric: [1, 2],
        },
        `Driven by the control core with the settings of this plan: ${spreadWords(proof)}, each under other conditions within the usual tolerance of headgate spread, the battery among them (${volts(own.battery)}).`,
        "A ramp holds as long as no driven wheel goes beyond the slip at which the tyres grip most, whether nitrous or engine does it; each condition alone, but for the battery, whose edges are driven with as much less grip as is asked for; grip in steps of 2.5 % for the choice and of 5 % for the others. The model's tyres and driver are assumed where the car file says nothing: only runs of the car tell its own.",
      ],
    },
  ];
}
