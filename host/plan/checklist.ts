/** Order of an installation; general practice, never instead of a part maker's instructions. */

/** Steps in order. */
export const INSTALLATION: readonly string[] = [
  "Read the instructions of every part; where they differ from this plan, they rule.",
  "Engine healthy first: compression, ignition, mixture and fuel pressure measured without nitrous.",
  "Spark plugs of the heat range that the engine builder names; retard set up and seen with a timing light.",
  "Bottle fixed by its own brackets, label and valve as the maker says, dip tube at the low end; vent outside the cabin.",
  "Lines away from heat, sharp edges and the cabin's seams; nothing but clean, oxygen-compatible parts in the nitrous line.",
  "Solenoids close to the nozzles; fuel before nitrous in every test.",
  "Jets as planned, read with a lens, fuel jet and nitrous jet not exchanged.",
  "Electric: fused supply, master relay, arm switch with a guard; prove both ways to off with the bottle shut.",
  "Fuel flow test through the fuel jets into a measured vessel; compare with the plan.",
  "Leak test with the bottle open and the engine off, outdoors.",
  "Weigh a timed discharge and replace the assumed jet coefficient (headgate plan weigh).",
  "First runs with the smallest stage, low share, plugs and log read after each; then raise step by step.",
];
