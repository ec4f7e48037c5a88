// Faults of the switches: arm, throttle, enrichment, each as its wire shows it.
import { whileFlowing } from "./flow-trial.ts";
import type { Scenario } from "./scenario.ts";
import type { ProofSettings } from "./settings.ts";

const CLOSING_PERMILLE = 60;
const CLOSED_PERMILLE = 50;

const hasSwitch = ({ throttle }: ProofSettings): boolean => throttle.switch === "yes";
const hasPosition = ({ throttle }: ProofSettings): boolean => throttle.position !== undefined;
const hasBoth = (settings: ProofSettings): boolean => hasSwitch(settings) && hasPosition(settings);

/** All of them. */
export const SWITCH_FAULTS: readonly Scenario[] = [
  whileFlowing({
    row: "ARM",
    fault: "arm switch off, or its wire open",
    apply: (bench) => bench.board.harness.setSwitch("arm", false),
  }),
  whileFlowing({
    row: "WOT",
    fault: "throttle switch open",
    apply: (bench) => bench.board.harness.setSwitch("throttle", false),
    fits: hasSwitch,
  }),
  whileFlowing({
    row: "WOT",
    fault: "throttle position under its close threshold",
    apply: (bench) =>
      bench.stimulus.sensor(
        "throttle",
        bench.settings.throttle.position!.closesAtPermille! - CLOSING_PERMILLE,
      ),
    fits: hasPosition,
  }),
  whileFlowing({
    row: "TPS-SW",
    fault: "throttle switch open while the position sensor is frozen wide open",
    apply: (bench) => bench.board.harness.setSwitch("throttle", false),
    fits: hasBoth,
  }),
  whileFlowing({
    row: "TPS-SW",
    fault: "throttle switch short to 5 V while the throttle closes",
    apply: (bench) => bench.stimulus.sensor("throttle", CLOSED_PERMILLE),
    fits: hasBoth,
  }),
  whileFlowing({
    row: "ENRICH",
    fault: "enrichment no longer confirmed, or its wire open",
    apply: (bench) => bench.board.harness.setSlowSwitch("enrich", false),
  }),
];
