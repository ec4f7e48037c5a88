// Faults of engine and road speed: outside a window, lost, noisy, in no gear.
import { whileFlowing } from "./flow-trial.ts";
import { extraPulse, toNextPulse } from "./pulses-at.ts";
import { reasonProblems, rowOf, untouched, wayBack } from "./reactions.ts";
import { type FlowFault, type Scenario, TRIALS, type Trial } from "./scenario.ts";
import type { ProofSettings } from "./settings.ts";
import type { TestBench } from "./test-bench.ts";
import { without } from "./variants.ts";

const PAST_RPM = 150;
const PAST_DECI_KMH = 20;
const OFF_GEAR = 1.13;
const NOISY_PERIODS = 4;
const REARMED_US = 300_000;
/** Longer than a period of the solenoids: one that pulses has been open within it. */
const FLOWED_US = 150_000;
const WATCHED_US = 600_000;

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
/** A step of the speed that an engine cannot make is another row's: left out where the window itself is proved. */
const noJump = without("engine.jump");
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

/** From the next pulse on, so many times as many pulses come as the engine gives. */
function misread(bench: TestBench, times: number): void {
  const { rpm } = bench.stimulus.point;
  bench.board.harness.setEngineHz(times * bench.stimulus.engineHz(rpm));
}

/** Does a speed read as a multiple lie further off than an engine comes between two such pulses? */
const seen =
  (times: number) =>
  ({ engine, windows }: ProofSettings): boolean => {
    const { fastestRpmPerS, unevennessPermille } = engine.jump!;
    const rpm = windows.engineSpeed!.openRpm;
    const periodS = 120 / engine.pulsesHalfPulses / (rpm * times);
    return rpm * Math.abs(1 - times) > (rpm * unevennessPermille) / 1000 + fastestRpmPerS * periodS;
  };

/** A lasting misreading: it trips, and no other try to arm believes it. */
async function lasting(bench: TestBench, times: number, trial: number): Promise<Trial> {
  if (trial === 0 && !bench.freshFlow()) return { wrong: ["it did not come to full flow"] };
  toNextPulse(bench, "enginePulse");
  const flowed = bench.anyHighSince(bench.nowNs - 1000 * FLOWED_US);
  misread(bench, times);
  bench.board.runFor(REARMED_US);
  const wrong = flowed ? [] : ["it did not flow up to the fault"];
  bench.cycleArm();
  bench.board.runFor(REARMED_US);
  bench.stimulus.launch(true);
  if (!bench.staysOff(WATCHED_US)) wrong.push("it flowed by a speed that cannot be");
  wrong.push(...reasonProblems(bench, await bench.client.status(), "RPM-JUMP", ["RPM-WIN", "GEAR-WIN"]));
  toNextPulse(bench, "enginePulse");
  bench.stimulus.good();
  const back = wayBack(bench, { ...rowOf("RPM-JUMP"), reaction: "hold-off" });
  return { wrong: [...wrong, ...back, ...(await untouched(bench))] };
}

function staysMisread(fault: string, times: number): Scenario {
  const run = (bench: TestBench, trial: number): Promise<Trial> => lasting(bench, times, trial);
  return { row: "RPM-JUMP", fault, trials: TRIALS, fits: seen(times), run };
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
    change: noJump,
  }),
  whileFlowing({
    row: "RPM-WIN",
    fault: "engine under its window",
    ...engineTo((s) => engineWindow(s).openRpm - engineWindow(s).hysteresisRpm - PAST_RPM),
    also: ["GEAR-WIN"],
    change: noJump,
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
  staysMisread("every second pulse of the engine wire lost, for good", 1 / 2),
  staysMisread("an extra pulse between any two on the engine wire, for good", 2),
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
