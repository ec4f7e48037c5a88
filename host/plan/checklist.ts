/** Order of an installation: general practice, never a substitute for a part maker's instructions. */

/** Steps in order. */
export const INSTALLATION: readonly string[] = [
  "Read the instructions of every part; where they differ from this plan, follow them.",
  "Check the engine first: measure compression, ignition, mixture and fuel pressure without nitrous.",
  "Fit spark plugs of the heat range that the engine builder names; set the retard and check it with a timing light.",
  "Mount the bottle in its own brackets, label and valve as the maker says, dip tube at the low end; vent it outside the cabin.",
  "Keep lines away from heat, sharp edges and the seams of the cabin; use only clean, oxygen-compatible parts in the nitrous line.",
  "Mount the solenoids close to the nozzles; test fuel before nitrous every time.",
  "Fit the jets as planned: read them with a lens, and do not swap fuel and nitrous jets.",
  "Wire a fused supply, master relay and guarded arm switch; prove both ways to off with the bottle shut.",
  "Measure the fuel flow through the fuel jets into a graduated vessel; compare it with the plan.",
  "Test for leaks outdoors with the bottle open and the engine off.",
  "Weigh the bottle before and after a timed discharge and replace the assumed jet coefficient (headgate plan calibrate).",
  "Make the first runs with the smallest stage at a low share; read plugs and log after each, then raise it step by step.",
];
