// Shares as on-runs over one to three periods, both valves together: where a pulse in each period could not make a share.
import { INPUTS_PHASE, PWM_STEP_US } from "./generated/blocks";
import { flowingSteps, measureValves, ROUNDING } from "./solenoids";
import { FULL_X32, outputs, Stage, stageState, state } from "./state";

/** In place of a number of periods: both valves stay open. */
const OPEN: u32 = 4;
/** Lower than this a pattern may not repeat. */
const SLOWEST_HZ: u32 = 8;
const MOST_PERIODS: u32 = 3;
/** A pulse is not changed this shortly before a period ends: the board may have passed the end before it acts. */
const FROZEN_STEPS: u32 = 1_000;
/** What the pins may follow a tick later at its end than at its beginning, microseconds. */
const PINS_LATE_US: u32 = 500;
/** Nitrous alone after a cut is waited for so many times over: a stage that is cut again and again has it for no larger part. */
const ALONE_TIMES: u32 = 40;
/** A tick that comes this late leaves no work to the next one, which may be as late. */
export const LATE_US: u32 = 2_000;
/** Before the first period: any place in it counts as later. */
const NOT_BEGUN: u32 = 0xffff;

/** Longest pattern at a frequency, in periods. */
export function patternPeriods(frequencyHz: u32): u32 {
  return min<u32>(max<u32>(frequencyHz / SLOWEST_HZ, 1), MOST_PERIODS);
}

/** A kind of pattern is left for one that could do as well only when that has so much to spare: a thirty-second of a period. */
// @inline
function spare(): u32 {
  return state.periodSteps >> 5;
}

/** Most that can flow in so many periods with both valves closing in between. */
// @inline
function mostFlowing(stage: Stage, periods: u32): u32 {
  return periods * state.periodSteps - stage.slowerOpening;
}

/** Fewest periods in which both valves can make the share, the most that there may be when none can; above them, from bit 2 on, the steps that must flow in them. */
function fewestPeriods(stage: Stage, shareX32: i32, before: u32): u32 {
  const most = state.patternPeriods;
  for (let n: u32 = 1; n < most; n++) {
    const margin = n < before ? spare() : 0;
    const flowing = flowingSteps(shareX32, n);
    if (flowing > stage.leastFlowing + margin && flowing + margin <= mostFlowing(stage, n))
      return n | (flowing << 2);
  }
  return most | (flowingSteps(shareX32, most) << 2);
}

/** Decides how the share is made from the next on-run on. Returns the number of periods, OPEN, or 0 for not at all. */
function want(stage: Stage): u32 {
  const share = stage.shareX32;
  const before = stage.wanted;
  const most = state.patternPeriods;
  const flowing = flowingSteps(share, most);
  if (flowing <= stage.leastFlowing + (before ? 0 : spare() >> 2)) return 0;
  const leaves = before === OPEN ? spare() : 0;
  if (flowing + stage.quickerOpening + leaves >= most * state.periodSteps) {
    stage.wantedFlow = state.periodSteps;
    return OPEN;
  }
  const fewest = fewestPeriods(stage, share, before);
  const periods = fewest & 3;
  const both = min<u32>(fewest >> 2, mostFlowing(stage, periods));
  stage.wantedFlow = both;
  return both > stage.leastFlowing ? periods : 0;
}

/** Takes over what is left of the on-run as the pulses of the next period. */
// @inline
function putRun(stage: Stage): void {
  const period = state.periodSteps;
  const fuel = stage.wet ? min<u32>(stage.fuelRun, period) : 0;
  stage.pulses = min<u32>(stage.nitrousRun, period) | (fuel << 16);
}

/**
 * On-runs for `flowing` steps; valves that are open already need no opening. They opened together with their coils: where the
 * fuel came later than the nitrous, it stays on for as much longer now, so that no nitrous is left without its fuel.
 */
// @inline
function setRun(stage: Stage, flowing: u32, open: bool): void {
  const nitrous = stage.nitrousOpening;
  const fuel = stage.fuelOpening;
  const owed = fuel > nitrous ? fuel - nitrous : 0;
  stage.flow = flowing;
  stage.nitrousRun = flowing + (open ? 0 : nitrous) - stage.nitrousClosing;
  stage.fuelRun = flowing + (open ? owed : fuel) - stage.fuelClosing;
}

/** Ends both runs in the same period: where only one reached into the next, both are shortened. */
function endTogether(stage: Stage): void {
  const period = state.periodSteps;
  const longer = max<u32>(stage.nitrousRun, stage.fuelRun);
  const shorter = min<u32>(stage.nitrousRun, stage.fuelRun);
  for (let end = period; end < longer; end += period) {
    if (shorter > end) continue;
    stage.flow -= longer - end;
    stage.nitrousRun -= longer - end;
    stage.fuelRun -= longer - end;
    return;
  }
}

/** Begins the pattern that is wanted; after a period in which both stayed open the valves are open still. */
function beginPattern(stage: Stage): void {
  const periods = stage.wanted;
  stage.periods = periods;
  stage.period = 0;
  if (periods === OPEN) stage.nitrousRun = stage.fuelRun = state.periodSteps;
  else {
    setRun(stage, stage.wantedFlow, stage.wasOpen !== 0);
    if (periods > 1) endTogether(stage);
  }
  stage.holdsOpen = max<u32>(stage.nitrousRun, stage.fuelRun) >= state.periodSteps ? 1 : 0;
  putRun(stage);
}

/** A stage that was shut begins with a pulse of one period, whatever follows. */
function beginFlow(stage: Stage): void {
  const most = mostFlowing(stage, 1);
  stage.periods = stage.wanted === OPEN ? 1 : stage.wanted;
  stage.period = 0;
  stage.wasOpen = 0;
  stage.holdsOpen = 0;
  stage.phase = NOT_BEGUN;
  setRun(stage, min<u32>(stage.wantedFlow, most), false);
  putRun(stage);
}

/** Is the next period set as this one is: a pulse in each by the same times of the valves, or open and open again? */
// @inline
function goesOn(stage: Stage): bool {
  const periods = stage.periods;
  if (periods !== stage.wanted) return false;
  if (periods === OPEN) return stage.wasOpen !== 0;
  if (periods !== 1 || stage.wasOpen) return false;
  const flow = stage.wantedFlow;
  return (
    stage.flow === flow &&
    stage.nitrousRun === flow + stage.nitrousOpening - stage.nitrousClosing &&
    stage.fuelRun === flow + stage.fuelOpening - stage.fuelClosing
  );
}

/** A period has begun: what was set for it is now at the pins, and the next one is set. */
function nextPeriod(stage: Stage): void {
  if (goesOn(stage)) return;
  const open = stage.periods === OPEN;
  stage.wasOpen = open ? 1 : 0;
  stage.period += 1;
  if (open || stage.period >= stage.periods) {
    beginPattern(stage);
    return;
  }
  const period = state.periodSteps;
  stage.nitrousRun -= min<u32>(stage.nitrousRun, period);
  stage.fuelRun -= min<u32>(stage.fuelRun, period);
  putRun(stage);
}

/** A share that falls shortens the on-run under way, both valves by as much. */
function shorten(stage: Stage): void {
  const left = min<u32>(stage.nitrousRun, stage.fuelRun);
  const flowing = flowingSteps(stage.shareX32, stage.periods);
  if (left < 2 || flowing >= stage.flow) return;
  const less = min<u32>(stage.flow - flowing, left - 1);
  stage.flow -= less;
  stage.nitrousRun -= less;
  stage.fuelRun -= less;
  putRun(stage);
}

/** Shuts both valves of a stage at once. Where it flowed, its pins driven until now, both begin to close. */
// @inline
export function shut(stage: Stage): void {
  if (outputs.runs & state.flowing & stage.bit) {
    stage.wasShut = 1;
    stage.shutUs = state.nowUs;
  }
  stage.wanted = 0;
  stage.periods = 0;
  stage.holdsOpen = 0;
  stage.pulses = 0;
}

/** Steps for which a cut at the worst moment leaves nitrous alone: before its fuel has opened too, or after that has closed. */
function alone(stage: Stage): u32 {
  const closing = stage.nitrousClosing;
  const later = stage.fuelOpening - min<u32>(stage.fuelOpening, stage.nitrousOpening + ROUNDING);
  return later ? later + closing : closing - min<u32>(closing, stage.fuelClosing + ROUNDING);
}

/**
 * May a stage that was shut not open yet? Opened again now, a nitrous valve that has not closed yet would flow while its fuel
 * valve has to open anew; and where a cut leaves nitrous alone, the next one must not come too soon.
 */
function mustRest(stage: Stage): bool {
  if (!stage.wasShut) return false;
  const steps = max<u32>(stage.leastFlowing, ALONE_TIMES * alone(stage));
  if (state.nowUs - stage.shutUs < steps * PWM_STEP_US + PINS_LATE_US) return true;
  stage.wasShut = 0;
  return false;
}

/**
 * Follows each flowing stage's counter: where it has wrapped, the next period's pulses are set. One stage a tick: others that
 * wrapped with it keep their old place and come in the next ticks, with most of a period to spare. To be called in every tick;
 * true when it has set one. A late tick calls it until all are set (see LATE_US).
 */
export function followPeriods(): bool {
  let wrapped: usize = 0;
  for (let s: u32 = 0; s < 4; s++) {
    const stage = stageState(s);
    if (!stage.periods) continue;
    const phase = load<u16>(INPUTS_PHASE + ((s as usize) << 1)) as u32;
    if (phase < stage.phase) {
      if (wrapped) continue;
      wrapped = changetype<usize>(stage);
    }
    stage.phase = phase;
  }
  if (!wrapped) return false;
  nextPeriod(changetype<Stage>(wrapped));
  return true;
}

/**
 * Works out the pulses of a stage. It flows while it has a pattern, be it in a shut period of it. In a tick in which the next
 * period of some stage was set, a pattern that has begun stays as it is until the stage's next turn.
 */
export function drive(stage: Stage, periodSet: bool): void {
  measureValves(stage);
  const wanted = stage.shareX32 > 0 ? want(stage) : 0;
  if (!wanted) {
    shut(stage);
    return;
  }
  if (!stage.periods && mustRest(stage)) return;
  stage.wanted = wanted;
  if (!stage.periods) beginFlow(stage);
  else if (stage.phase + FROZEN_STEPS < state.periodSteps) {
    if (stage.period !== 0) shorten(stage);
    else if (!periodSet) beginPattern(stage);
  }
}

/** Would the share that is asked for be made with a period in which a valve stays open? In doubt yes. */
function asksOpen(stage: Stage): bool {
  const asked = stage.askedX32;
  const period = state.periodSteps;
  let flowing = flowingSteps(asked, 1);
  if (flowing + spare() > mostFlowing(stage, 1)) return true;
  if (flowing <= stage.leastFlowing + spare()) flowing = fewestPeriods(stage, asked, OPEN) >> 2;
  const nitrous = flowing + stage.nitrousOpening - stage.nitrousClosing;
  const fuel = flowing + stage.fuelOpening - stage.fuelClosing;
  return flowing > stage.leastFlowing && max<u32>(nitrous, fuel) + spare() >= period;
}

/** Share that timing must be retarded for, in 1/32 permille: the full one while a valve stays open for a period, or soon will. */
// @inline
export function retardShare(stage: Stage): i32 {
  if (stage.askedX32 <= 0) return 0;
  return stage.holdsOpen || asksOpen(stage) ? FULL_X32 : stage.askedX32;
}
