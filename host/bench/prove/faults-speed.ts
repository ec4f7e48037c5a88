// Faults of engine and road speed: outside a window, lost, noisy, in no gear.
import { whileFlowing } from "./flow-trial.ts";
import { extraPulse, toNextPulse } from "./pulses-at.ts";
import type { FlowFault, Scenario } from "./scenario.ts";
import type { ProofSettings } from "./settings.ts";
import type { TestBench } from "./test-bench.ts";
import { without } from "./variants.ts";

const PAST_RPM = 150;
const PAST_DECI_KMH = 20;
const OFF_GEAR = 1.13;
const NOISY_PERIODS = 4;

function engineTo(
  rpm: (settings: ProofSettings) => number,
): Pick<FlowFault, "until" | "apply" | "undo" | "plusUs"> {
  const hz = (bench: TestBench): number => bench.stimulus.engineHz(rpm(bench.settings));
  return {
    until: (bench) => toNextPulse(bench, "enginePulse"),
    apply: (bench) => bench.board.harness.setEngineHz(hz(bench)),
    undo: (bench) => toNextPulse(bench, "enginePulse"),
    plusUs: (bench) => 1e6 / hz(bench),
  };
}

function roadTo(deciKmh: (bench: TestBench) => number): Pick<FlowFault, "until" | "apply" | "plusUs"> {
  const hz = (bench: TestBench): number => bench.stimulus.roadHz(deciKmh(bench));
  return {
    until: (bench) => toNextPulse(bench, "roadPulse"),
    apply: (bench) => bench.board.harness.setRoadHz(hz(bench)),
    plusUs: (bench) => 1e6 / hz(bench),
  };
}

const engineWindow = (settings: ProofSettings) => settings.windows.engineSpeed!;
const roadWindow = (bench: TestBench) => bench.settings.windows.roadSpeed!;
/** The gear changes with the speed: left out where the window on speed itself is proved. */
const noGears = without("windows.gears");

function noise(bench: TestBench): void {
  const periodUs = 1e6 / bench.stimulus.engineHz(bench.stimulus.point.rpm);
  for (let i = 0; i < NOISY_PERIODS; i++) extraPulse(bench, "enginePulse", (i + 0.75) * periodUs);
}

/** Every second pulse is missing from the first on, as with a broken tooth. */
function missingPulses(bench: TestBench): void {
  const { harness } = bench.board;
  const hz = bench.stimulus.engineHz(bench.stimulus.point.rpm);
  const slow = (): void => harness.setEngineHz(hz / 2);
  const right = (): void => harness.setEngineHz(hz);
  slow();
  bench.board.at(bench.nowNs + 2e9 / hz, right);
  bench.board.at(bench.nowNs + 3e9 / hz, slow);
  bench.board.at(bench.nowNs + 5e9 / hz, right);
}

function engineStops(bench: TestBench, level: 0 | 1): void {
  bench.board.harness.setEngineHz(0);
  bench.board.harness.setInput("enginePulse", level);
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
    until: (bench) => toNextPulse(bench, "enginePulse"),
    apply: (bench) => engineStops(bench, 0),
  }),
  whileFlowing({
    row: "RPM-LOST",
    fault: "engine pulse wire short to 5 V",
    until: (bench) => toNextPulse(bench, "enginePulse"),
    apply: (bench) => engineStops(bench, 1),
  }),
  whileFlowing({
    row: "RPM-JUMP",
    fault: "extra pulses on the engine wire",
    until: (bench) => toNextPulse(bench, "enginePulse"),
    apply: noise,
  }),
  whileFlowing({
    row: "RPM-JUMP",
    fault: "missing pulses on the engine wire",
    until: (bench) => toNextPulse(bench, "enginePulse"),
    apply: missingPulses,
  }),
  whileFlowing({
    row: "SPEED-WIN",
    fault: "road speed above its window",
    ...roadTo((bench) => roadWindow(bench).closeDeciKmh! + PAST_DECI_KMH),
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
    ...roadTo((bench) => bench.stimulus.point.deciKmh * OFF_GEAR),
  }),
];
