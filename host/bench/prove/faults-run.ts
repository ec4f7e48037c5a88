// Faults over a whole run: noise at the arm switch, too long a flow, a bottle valve without pressure, a driveshaft that runs away.
import type { Document } from "#shared-schema/settings/pack.ts";
import { pulsesOf } from "../pulses.ts";
import { allowedUs, RELAY_US } from "./allowed.ts";
import { column } from "./board-client.ts";
import { toNextPulse } from "./pulses-at.ts";
import { faultProblems, rowOf, untouched, wayBack } from "./reactions.ts";
import { NotShown, phaseUs, type Scenario, TRIALS, type Trial } from "./scenario.ts";
import type { TestBench } from "./test-bench.ts";
import { without, withValues } from "./variants.ts";

const SHORT_US = 2000;
const ARMED_US = 250_000;
const NOISE_LIMIT = 3;
const LIMIT_MS = 1000;
const NO_PRESSURE_KPA = 400;
const FIRST_FLOW_US = 4_000_000;
/** The longest pattern, and the period under way. */
const PATTERN_PERIODS = 4;
const WIDE_STEP_US = 1000;

/** One short opening of the arm switch: cut at once, counted, and flow comes back. */
async function oneBounce(bench: TestBench, trial: number): Promise<Trial> {
  if (trial === 0 && !bench.freshFlow()) return { wrong: ["it did not come to full flow"] };
  const { board } = bench;
  const before = column(await bench.client.status(), "noiseCuts");
  board.runFor(phaseUs(trial));
  const causeNs = bench.nowNs;
  board.harness.setSwitch("arm", false);
  board.runFor(SHORT_US / 2);
  const pinsUs = bench.lowAfterUs(causeNs);
  board.runFor(SHORT_US / 2);
  board.harness.setSwitch("arm", true);
  const allowed = rowOf("ARM").withinUs!;
  const wrong = pinsUs === undefined || pinsUs > allowed ? [`pins low after ${pinsUs} us`] : [];
  if (!bench.waitForFlow()) wrong.push("flow did not come back by itself");
  const cuts = column(await bench.client.status(), "noiseCuts") - before;
  if (cuts < 1) wrong.push("the noise was not counted");
  return { pinsUs, allowedUs: allowed, wrong: [...wrong, ...(await untouched(bench))] };
}

/** So many short openings that the wire must be bad: disarmed. */
async function chatter(bench: TestBench): Promise<Trial> {
  if (!bench.freshFlow()) return { wrong: ["it did not come to full flow"] };
  const causeNs = bench.nowNs;
  for (let i = 0; i <= NOISE_LIMIT + 1; i++) {
    bench.board.harness.setSwitch("arm", false);
    bench.board.runFor(SHORT_US);
    bench.board.harness.setSwitch("arm", true);
    bench.board.runFor(10 * SHORT_US);
  }
  const live = await bench.client.status();
  const wrong = faultProblems(bench, rowOf("ARM"), live, causeNs, (bench.nowNs - causeNs) / 1000, []);
  if (!bench.staysOff()) wrong.push("it flowed again without the arm switch");
  return { wrong: [...wrong, ...wayBack(bench, rowOf("ARM")), ...(await untouched(bench))] };
}

/** Arms and waits for the first pulse of all; its time in ns. */
function firstFlow(bench: TestBench): number | undefined {
  const { board } = bench;
  bench.cycleArm();
  board.pins.forget();
  board.runFor(ARMED_US);
  bench.stimulus.launch(true);
  const first = (): number[] =>
    bench.settings.stages.flatMap(
      (_, s) => pulsesOf(board.pins.edges(`nitrous${s + 1}`), bench.nowNs)[0]?.startNs ?? [],
    );
  return board.runUntil(() => first().length > 0, FIRST_FLOW_US, 500) ? Math.min(...first()) : undefined;
}

async function tooLong(bench: TestBench): Promise<Trial> {
  const startedNs = firstFlow(bench);
  if (startedNs === undefined) return { wrong: ["nothing flowed"] };
  const row = rowOf("TIME");
  const causeNs = startedNs + LIMIT_MS * 1e6;
  const allowed = allowedUs(row, bench)!;
  bench.board.run(causeNs - 20e6);
  const wrong = bench.anyHighSince(causeNs - 80e6) ? [] : ["it stopped too early"];
  bench.board.run(causeNs + (allowed + RELAY_US) * 1000);
  const pinsUs = bench.lowAfterUs(causeNs);
  const live = await bench.client.status();
  wrong.push(...(pinsUs === undefined || pinsUs > allowed ? ["it flowed for longer"] : []));
  wrong.push(...faultProblems(bench, row, live, causeNs, allowed, []));
  wrong.push(...(firstFlow(bench) === undefined ? ["no flow after the arm switch was cycled"] : []));
  return { pinsUs, relayUs: bench.relayOpenAfterUs(causeNs), allowedUs: allowed, wrong };
}

/** Every stage may flow for so long only. */
function shortStages(document: Document): Document {
  const limits = (document.stages as unknown[]).map((_, s) => [`stages.${s}.longestMs`, LIMIT_MS] as const);
  return withValues(Object.fromEntries(limits))(document);
}

async function noPressure(bench: TestBench): Promise<Trial> {
  const row = rowOf("VALVE");
  const fromNs = bench.rest();
  const allowed = allowedUs(row, bench)!;
  bench.stimulus.sensor("bottle", NO_PRESSURE_KPA);
  bench.cycleArm();
  bench.board.runFor(ARMED_US);
  const openedNs = bench.board.pins.edges("bottleValve").findLast((e) => e.level === 1 && e.ns > fromNs)?.ns;
  bench.board.runFor(allowed + RELAY_US);
  const live = await bench.client.status();
  const wrong = openedNs === undefined ? ["the bottle valve never opened"] : [];
  wrong.push(...faultProblems(bench, row, live, openedNs ?? fromNs, allowed, []));
  if (bench.anyHighSince(fromNs)) wrong.push("something flowed");
  bench.stimulus.good();
  wrong.push(...wayBack(bench, row), ...(await untouched(bench)));
  return { relayUs: bench.relayOpenAfterUs(openedNs ?? fromNs), allowedUs: allowed, wrong };
}

/** Widest pulse, ns, of a share at nitrous of these settings: the opening time is at most that at 12 V. */
function widestNs(bench: TestBench, permille: number): number {
  const times = bench.settings.stages.map(
    (s) => (s as unknown as Record<string, Record<string, number>>).nitrousSolenoid!,
  );
  const opening = Math.max(...times.map((t) => t.opening12VUs! - t.closingUs!));
  return (permille * 1e6) / bench.settings.flow.frequencyHz + Math.max(0, opening) * 1000;
}

/** When the last pulse wider than allowed turned into one of the allowed width, us after the cause; undefined when one still lasts. */
function wideUntilUs(bench: TestBench, causeNs: number, widest: number): number | undefined {
  let latest = causeNs;
  for (const s of bench.stages) {
    for (const pulse of pulsesOf(bench.board.pins.edges(`nitrous${s + 1}`), bench.nowNs)) {
      const endNs = pulse.startNs + pulse.widthNs;
      if (pulse.widthNs <= widest) continue;
      if (endNs >= bench.nowNs) return undefined;
      latest = Math.max(latest, endNs - widest);
    }
  }
  return (latest - causeNs) / 1000;
}

/** Has a pulse, or what of it lies after a time, been wider than allowed? */
function wideSince(bench: TestBench, fromNs: number, widest: number): boolean {
  const pulses = bench.stages.flatMap((s) =>
    pulsesOf(bench.board.pins.edges(`nitrous${s + 1}`), bench.nowNs),
  );
  return pulses.some(({ startNs, widthNs }) => startNs + widthNs - Math.max(startNs, fromNs) > widest);
}

/** Longest time until a share that was cut has risen to the full one and shows in a pattern, us. */
function risesUs({ settings: { flow, driveline } }: TestBench): number {
  const percent = (1000 - driveline!.cutToPermille) / 10;
  return (percent / flow.riseLimitPercentPerS + PATTERN_PERIODS / flow.frequencyHz) * 1e6;
}

/** The driveshaft speeds up twice, from pulse to pulse, three times as fast as it may. */
function runAway(bench: TestBench): void {
  const { board, stimulus } = bench;
  const { fastestDeciKmhPerS } = bench.settings.driveline!;
  const speed = stimulus.point.deciKmh;
  const periodS = 1 / stimulus.roadHz(speed);
  const step = 3 * fastestDeciKmhPerS * periodS + 4;
  board.harness.setRoadHz(stimulus.roadHz(speed + step));
  const next = 1e9 / stimulus.roadHz(speed + step);
  board.at(board.nowNs + next, () => board.harness.setRoadHz(stimulus.roadHz(speed + 2 * step)));
}

async function wheelspin(bench: TestBench, trial: number): Promise<Trial> {
  if (trial === 0 && !bench.freshFlow()) return { wrong: ["it did not come to full flow"] };
  const allowed = allowedUs(rowOf("DRIVELINE"), bench)!;
  const { holdMs, cutToPermille } = bench.settings.driveline!;
  const widest = widestNs(bench, cutToPermille);
  const fromNs = bench.nowNs;
  if (!bench.board.runUntil(() => wideSince(bench, fromNs, widest), risesUs(bench), WIDE_STEP_US))
    throw new NotShown();
  bench.board.runFor(phaseUs(trial));
  toNextPulse(bench, "roadPulse");
  const causeNs = bench.nowNs;
  runAway(bench);
  bench.board.runFor(Math.min(allowed + 10_000, holdMs * 1000));
  const pinsUs = wideUntilUs(bench, causeNs, widest);
  const wrong = pinsUs === undefined || pinsUs > allowed ? ["the pulses did not get short in time"] : [];
  const periodNs = 1e9 / bench.settings.flow.frequencyHz;
  if (!bench.anyHighSince(bench.nowNs - periodNs)) wrong.push("it held off instead of cutting back");
  bench.stimulus.good();
  const goodNs = bench.nowNs;
  bench.board.runFor(holdMs * 1000 + phaseUs(3));
  const live = await bench.client.status();
  if (column(live, "reasons") !== 0 || column(live, "flowing") === 0)
    wrong.push("it held off instead of cutting back");
  const rises = holdMs * 1000 + risesUs(bench);
  if (!bench.board.runUntil(() => wideSince(bench, goodNs, widest), rises, WIDE_STEP_US))
    wrong.push("the share did not rise again");
  return { pinsUs, allowedUs: allowed, wrong: [...wrong, ...(await untouched(bench))] };
}

/** All of them. */
export const RUN_FAULTS: readonly Scenario[] = [
  { row: "ARM", fault: "cable chatter: arm switch off for 2 ms", trials: 3, run: oneBounce },
  { row: "ARM", fault: "cable chatter that does not end", trials: 1, run: chatter },
  {
    row: "TIME",
    fault: "a stage flows for its longest time",
    trials: 1,
    run: tooLong,
    change: shortStages,
  },
  { row: "VALVE", fault: "bottle valve opened and no pressure comes", trials: 1, run: noPressure },
  {
    row: "DRIVELINE",
    fault: "driveshaft runs away",
    change: without("windows.gears"),
    trials: TRIALS,
    run: wheelspin,
  },
];
