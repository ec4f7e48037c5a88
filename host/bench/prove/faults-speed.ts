// Faults of engine and road speed: outside a window, lost, noisy, in no gear.
import { whileFlowing } from "./flow-trial.ts";
import { extraPulse, toNextPulse } from "./pulses-at.ts";
import type { FlowFault, Scenario } from "./scenario.ts";
import type { ProofSettings } from "./settings.ts";
import type { Stand } from "./test-bench.ts";
import { without } from "./variants.ts";

const PAST_RPM = 150;
const PAST_DECI_KMH = 20;
const OFF_GEAR = 1.13;
const NOISY_PERIODS = 4;

function engineTo(
  rpm: (settings: ProofSettings) => number,
): Pick<FlowFault, "until" | "apply" | "undo" | "plusUs"> {
  const hz = (stand: Stand): number => stand.senses.engineHz(rpm(stand.settings));
  return {
    until: (stand) => toNextPulse(stand, "enginePulse"),
    apply: (stand) => stand.board.harness.setEngineHz(hz(stand)),
    undo: (stand) => toNextPulse(stand, "enginePulse"),
    plusUs: (stand) => 1e6 / hz(stand),
  };
}

function roadTo(deciKmh: (stand: Stand) => number): Pick<FlowFault, "until" | "apply" | "plusUs"> {
  const hz = (stand: Stand): number => stand.senses.roadHz(deciKmh(stand));
  return {
    until: (stand) => toNextPulse(stand, "roadPulse"),
    apply: (stand) => stand.board.harness.setRoadHz(hz(stand)),
    plusUs: (stand) => 1e6 / hz(stand),
  };
}

const engineWindow = (settings: ProofSettings) => settings.windows.engineSpeed!;
const roadWindow = (stand: Stand) => stand.settings.windows.roadSpeed!;
/** The gear changes with the speed: left out where the window on speed itself is proved. */
const noGears = without("windows.gears");

function noise(stand: Stand): void {
  const periodUs = 1e6 / stand.senses.engineHz(stand.senses.point.rpm);
  for (let i = 0; i < NOISY_PERIODS; i++) extraPulse(stand, "enginePulse", (i + 0.75) * periodUs);
}

/** Every second pulse is missing from the first on, as with a broken tooth. */
function missingPulses(stand: Stand): void {
  const { harness } = stand.board;
  const hz = stand.senses.engineHz(stand.senses.point.rpm);
  const slow = (): void => harness.setEngineHz(hz / 2);
  const right = (): void => harness.setEngineHz(hz);
  slow();
  stand.board.at(stand.nowNs + 2e9 / hz, right);
  stand.board.at(stand.nowNs + 3e9 / hz, slow);
  stand.board.at(stand.nowNs + 5e9 / hz, right);
}

function engineStops(stand: Stand, level: 0 | 1): void {
  stand.board.harness.setEngineHz(0);
  stand.board.harness.setInput("enginePulse", level);
}

/** All of them. */
export const SPEED_FAULTS: readonly Scenario[] = [
  whileFlowing({
    row: "RPM-WIN",
    fault: "engine above its window",
    ...engineTo((s) => engineWindow(s).closeRpm + PAST_RPM),
    also: ["GEAR-WIN"],
  }),
  whileFlowing({
    row: "RPM-WIN",
    fault: "engine under its window",
    ...engineTo((s) => engineWindow(s).openRpm - engineWindow(s).hysteresisRpm - PAST_RPM),
    also: ["GEAR-WIN"],
  }),
  whileFlowing({
    row: "RPM-LOST",
    fault: "engine pulse wire open",
    until: (stand) => toNextPulse(stand, "enginePulse"),
    apply: (stand) => engineStops(stand, 0),
  }),
  whileFlowing({
    row: "RPM-LOST",
    fault: "engine pulse wire short to 5 V",
    until: (stand) => toNextPulse(stand, "enginePulse"),
    apply: (stand) => engineStops(stand, 1),
  }),
  whileFlowing({
    row: "RPM-JUMP",
    fault: "extra pulses on the engine wire",
    until: (stand) => toNextPulse(stand, "enginePulse"),
    apply: noise,
  }),
  whileFlowing({
    row: "RPM-JUMP",
    fault: "missing pulses on the engine wire",
    until: (stand) => toNextPulse(stand, "enginePulse"),
    apply: missingPulses,
  }),
  whileFlowing({
    row: "SPEED-WIN",
    fault: "road speed above its window",
    ...roadTo((stand) => roadWindow(stand).closeDeciKmh! + PAST_DECI_KMH),
    change: noGears,
  }),
  whileFlowing({
    row: "SPEED-WIN",
    fault: "road speed under its window",
    ...roadTo((s) =>
      Math.max(1, roadWindow(s).openDeciKmh! - roadWindow(s).hysteresisDeciKmh! - PAST_DECI_KMH),
    ),
    change: noGears,
    fits: ({ windows }) =>
      windows.roadSpeed!.openDeciKmh! > windows.roadSpeed!.hysteresisDeciKmh! + PAST_DECI_KMH,
  }),
  whileFlowing({
    row: "GEAR-WIN",
    fault: "speeds that fit no gear",
    ...roadTo((stand) => stand.senses.point.deciKmh * OFF_GEAR),
  }),
];
