// Faults over a whole run: noise at the arm switch, too long a flow, a bottle valve without pressure, a driveshaft that runs away.
import type { Document } from "#shared-schema/settings/pack.ts";
import { pulsesOf } from "../pulses.ts";
import { allowedUs, RELAY_US } from "./allowed.ts";
import { column } from "./board-client.ts";
import { toNextPulse } from "./pulses-at.ts";
import { faultProblems, rowOf, untouched, wayBack } from "./reactions.ts";
import { phaseUs, type Scenario, TRIALS, type Trial } from "./scenario.ts";
import type { Stand } from "./test-bench.ts";
import { without, withValues } from "./variants.ts";

const SHORT_US = 2000;
const ARMED_US = 250_000;
const NOISE_LIMIT = 3;
const LIMIT_MS = 1000;
const NO_PRESSURE_KPA = 400;
const FIRST_FLOW_US = 4_000_000;

/** One short opening of the arm switch: cut at once, counted, and flow comes back. */
async function oneBounce(stand: Stand, trial: number): Promise<Trial> {
  if (trial === 0 && !stand.toFlow()) return { wrong: ["it did not come to full flow"] };
  const { board } = stand;
  const before = column(await stand.teller.status(), "noiseCuts");
  board.runFor(phaseUs(trial));
  const causeNs = stand.nowNs;
  board.harness.setSwitch("arm", false);
  board.runFor(SHORT_US / 2);
  const pinsUs = stand.lowAfterUs(causeNs);
  board.runFor(SHORT_US / 2);
  board.harness.setSwitch("arm", true);
  const allowed = rowOf("ARM").withinUs!;
  const wrong = pinsUs === undefined || pinsUs > allowed ? [`pins low after ${pinsUs} us`] : [];
  if (!stand.waitForFlow()) wrong.push("flow did not come back by itself");
  const cuts = column(await stand.teller.status(), "noiseCuts") - before;
  if (cuts < 1) wrong.push("the noise was not counted");
  return { pinsUs, allowedUs: allowed, wrong: [...wrong, ...(await untouched(stand))] };
}

/** So many short openings that the wire must be bad: disarmed. */
async function chatter(stand: Stand): Promise<Trial> {
  if (!stand.toFlow()) return { wrong: ["it did not come to full flow"] };
  const causeNs = stand.nowNs;
  for (let i = 0; i <= NOISE_LIMIT + 1; i++) {
    stand.board.harness.setSwitch("arm", false);
    stand.board.runFor(SHORT_US);
    stand.board.harness.setSwitch("arm", true);
    stand.board.runFor(10 * SHORT_US);
  }
  const live = await stand.teller.status();
  const wrong = faultProblems(stand, rowOf("ARM"), live, causeNs, (stand.nowNs - causeNs) / 1000, []);
  if (!stand.staysOff()) wrong.push("it flowed again without the arm switch");
  return { wrong: [...wrong, ...wayBack(stand, rowOf("ARM")), ...(await untouched(stand))] };
}

/** Arms and waits for the first pulse of all; its time in ns. */
function firstFlow(stand: Stand): number | undefined {
  const { board } = stand;
  stand.cycleArm();
  board.pins.forget();
  board.runFor(ARMED_US);
  stand.senses.launch(true);
  const first = (): number[] =>
    stand.settings.stages.flatMap((_, s) => board.pins.edges(`nitrous${s + 1}`)[0]?.ns ?? []);
  return board.runUntil(() => first().length > 0, FIRST_FLOW_US, 500) ? Math.min(...first()) : undefined;
}

async function tooLong(stand: Stand): Promise<Trial> {
  const startedNs = firstFlow(stand);
  if (startedNs === undefined) return { wrong: ["nothing flowed"] };
  const row = rowOf("TIME");
  const causeNs = startedNs + LIMIT_MS * 1e6;
  const allowed = allowedUs(row, stand)!;
  stand.board.run(causeNs - 20e6);
  const wrong = stand.anyHighSince(causeNs - 80e6) ? [] : ["it stopped too early"];
  stand.board.run(causeNs + (allowed + RELAY_US) * 1000);
  const pinsUs = stand.lowAfterUs(causeNs);
  const live = await stand.teller.status();
  wrong.push(...(pinsUs === undefined || pinsUs > allowed ? ["it flowed for longer"] : []));
  wrong.push(...faultProblems(stand, row, live, causeNs, allowed, []));
  wrong.push(...(firstFlow(stand) === undefined ? ["no flow after the arm switch was cycled"] : []));
  return { pinsUs, relayUs: stand.relayOpenAfterUs(causeNs), allowedUs: allowed, wrong };
}

/** Every stage may flow for so long only. */
function shortStages(document: Document): Document {
  const limits = (document.stages as unknown[]).map((_, s) => [`stages.${s}.longestMs`, LIMIT_MS] as const);
  return withValues(Object.fromEntries(limits))(document);
}

async function noPressure(stand: Stand): Promise<Trial> {
  const row = rowOf("VALVE");
  const fromNs = stand.rest();
  const allowed = allowedUs(row, stand)!;
  stand.senses.sensor("bottle", NO_PRESSURE_KPA);
  stand.cycleArm();
  stand.board.runFor(ARMED_US);
  const openedNs = stand.board.pins.edges("bottleValve").findLast((e) => e.level === 1 && e.ns > fromNs)?.ns;
  stand.board.runFor(allowed + RELAY_US);
  const live = await stand.teller.status();
  const wrong = openedNs === undefined ? ["the bottle valve never opened"] : [];
  wrong.push(...faultProblems(stand, row, live, openedNs ?? fromNs, allowed, []));
  if (stand.anyHighSince(fromNs)) wrong.push("something flowed");
  stand.senses.good();
  wrong.push(...wayBack(stand, row), ...(await untouched(stand)));
  return { relayUs: stand.relayOpenAfterUs(openedNs ?? fromNs), allowedUs: allowed, wrong };
}

/** Widest pulse, ns, of a share at nitrous of these settings: the opening time is at most that at 12 V. */
function widestNs(stand: Stand, permille: number): number {
  const times = stand.settings.stages.map(
    (s) => (s as unknown as Record<string, Record<string, number>>).nitrousSolenoid!,
  );
  const opening = Math.max(...times.map((t) => t.opening12VUs! - t.closingUs!));
  return (permille * 1e6) / stand.settings.flow.frequencyHz + Math.max(0, opening) * 1000;
}

/** When the last pulse wider than allowed turned into one of the allowed width, us after the cause; undefined when one still lasts. */
function wideUntilUs(stand: Stand, causeNs: number, widest: number): number | undefined {
  let latest = causeNs;
  for (const s of stand.stages) {
    for (const pulse of pulsesOf(stand.board.pins.edges(`nitrous${s + 1}`), stand.nowNs)) {
      const endNs = pulse.startNs + pulse.widthNs;
      if (pulse.widthNs <= widest) continue;
      if (endNs >= stand.nowNs) return undefined;
      latest = Math.max(latest, endNs - widest);
    }
  }
  return (latest - causeNs) / 1000;
}

/** The driveshaft speeds up twice, from pulse to pulse, three times as fast as it may. */
function runAway(stand: Stand): void {
  const { board, senses } = stand;
  const { fastestDeciKmhPerS } = stand.settings.driveline!;
  const speed = senses.point.deciKmh;
  const periodS = 1 / senses.roadHz(speed);
  const step = 3 * fastestDeciKmhPerS * periodS + 4;
  board.harness.setRoadHz(senses.roadHz(speed + step));
  const next = 1e9 / senses.roadHz(speed + step);
  board.at(board.nowNs + next, () => board.harness.setRoadHz(senses.roadHz(speed + 2 * step)));
}

async function wheelspin(stand: Stand, trial: number): Promise<Trial> {
  if (trial === 0 && !stand.toFlow()) return { wrong: ["it did not come to full flow"] };
  const allowed = allowedUs(rowOf("DRIVELINE"), stand)!;
  const { holdMs, cutToPermille } = stand.settings.driveline!;
  stand.board.runFor(phaseUs(trial));
  toNextPulse(stand, "roadPulse");
  const causeNs = stand.nowNs;
  runAway(stand);
  stand.board.runFor(Math.min(allowed + 10_000, holdMs * 1000));
  const pinsUs = wideUntilUs(stand, causeNs, widestNs(stand, cutToPermille));
  const wrong = pinsUs === undefined || pinsUs > allowed ? ["the pulses did not get short in time"] : [];
  const periodNs = 1e9 / stand.settings.flow.frequencyHz;
  if (!stand.anyHighSince(stand.nowNs - periodNs)) wrong.push("it held off instead of cutting back");
  stand.senses.good();
  stand.board.runFor(holdMs * 1000 + phaseUs(3));
  const live = await stand.teller.status();
  if (column(live, "reasons") !== 0 || column(live, "flowing") === 0)
    wrong.push("it held off instead of cutting back");
  if (wideUntilUs(stand, causeNs, widestNs(stand, cutToPermille)) !== undefined)
    stand.board.runFor(holdMs * 1000);
  if (wideUntilUs(stand, causeNs, widestNs(stand, cutToPermille)) !== undefined)
    wrong.push("the share did not rise again");
  return { pinsUs, allowedUs: allowed, wrong: [...wrong, ...(await untouched(stand))] };
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
