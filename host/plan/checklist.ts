/** Order of an installation: general practice, never a substitute for a part maker's instructions. */

import type { SystemKind } from "./choose-kind.ts";

/** What the fuel of each kind asks for: beside the solenoids, at the jets, and before the first discharge. */
const FUEL: Readonly<Record<SystemKind, { solenoids: string; jets: string; measured: string }>> = {
  wet: {
    solenoids: "Mount the solenoids close to the nozzles; test fuel before nitrous every time.",
    jets: "Fit the jets as planned: read them with a lens, and do not swap fuel and nitrous jets.",
    measured:
      "Measure the fuel flow through the fuel jets into a graduated vessel; compare it with the plan.",
  },
  dry: {
    solenoids: "Mount the solenoids close to the nozzles.",
    jets: "Fit the nitrous jets as planned: read them with a lens.",
    measured:
      "Log the injector time that the engine computer adds, compare it with the plan, and see that it takes its signal away when the fuel is not added.",
  },
};

/** Steps in order. */
export const installation = (kind: SystemKind): readonly string[] => [
  "Read the instructions of every part; where they differ from this plan, follow them.",
  "Check the engine first: measure compression, ignition, mixture and fuel pressure without nitrous.",
  "Fit spark plugs of the heat range that the engine builder names; set the retard and check it with a timing light.",
  "Mount the bottle in its own brackets, label and valve as the maker says, dip tube at the low end; vent it outside the cabin.",
  "Keep lines away from heat, sharp edges and the seams of the cabin; use only clean, oxygen-compatible parts in the nitrous line.",
  FUEL[kind].solenoids,
  FUEL[kind].jets,
  "Wire a fused supply, master relay and guarded arm switch; prove both ways to off with the bottle shut.",
  FUEL[kind].measured,
  "Test for leaks outdoors with the bottle open and the engine off.",
  "Weigh the bottle before and after a timed discharge and replace the assumed jet coefficient (headgate plan calibrate).",
  "Make the first runs by the ladder, at a low share of the first stage; read plugs and log after each step, then go up.",
];
