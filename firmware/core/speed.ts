// How fast the two speeds move from pulse to pulse: what an engine cannot do is a misreading, and is not believed until it is over.
import * as N from "./generated/numbers";
import * as S from "./generated/settings";
import { trip } from "./latch";
import { engine, inputs, isArmed, road, setting, state } from "./state";

/** So many pulses in a row that move as an engine can confirm what they say. */
const EVEN_PULSES: u32 = 8;
/** A longer time between two pulses of the engine allows no larger move; a wheel with one pulse a turn takes longer by far. */
const LONGEST_APART_US: u32 = 60_000;
const ROAD_APART_US: u32 = 1_000_000;
/** No setting allows a larger move between two pulses: 60000 rpm a second, or 300 km/h a second on the road, for these times. */
const LARGEST_MOVE: u32 = 3_600;

function apart(a: u32, b: u32): u32 {
  return a > b ? a - b : b - a;
}

/** Is a move of so many units, less those that are free and one for rounding, more than `most` millionths of a unit? */
function outran(moved: u32, free: u32, most: u32): bool {
  if (moved <= free + 1) return false;
  const counted = moved - free - 1;
  return counted > LARGEST_MOVE || counted * 1_000_000 > most;
}

/** Is it further from one speed to another than an engine comes in that time? Pulses are never quite even: a part is free. */
function engineOutran(from: u32, to: u32, us: u32): bool {
  const free = (from * state.unevenX64k) >> 16;
  return outran(apart(from, to), free, setting(S.ENGINE_JUMP_FASTEST_RPM_PER_S) * us);
}

/** The engine was seen to stand: whatever it says next is new. */
function forgetEngine(): void {
  engine.judgedSpeed = 0;
  engine.tooFast = 0;
  engine.evenPulses = 0;
  engine.believedSpeed = 0;
  engine.misreadSpeed = 0;
  engine.strayUs = 0;
}

/** Pulses were missed, for example in flash work: what was confirmed counts no more. A doubt outlasts it, in its proportion. */
export function forgetConfirmed(): void {
  if (!engine.misreadSpeed) forgetEngine();
  engine.judgedSpeed = 0;
  engine.tooFast = 0;
}

/** Begins or renews the doubt: `read` stands where `believed` should. */
function doubt(believed: u32, read: u32): void {
  engine.believedSpeed = min<u32>(believed, 0xffff);
  engine.misreadSpeed = max<u32>(read, 1);
}

/** Misreadings lie at simple proportions, none of them this near to 1: what is left of one that began between two pulses. */
function isBack(believed: u32, now: u32): bool {
  return apart(believed, now) <= believed >> 3 || !engineOutran(believed, now, engine.strayUs);
}

/**
 * A jump while the speed is doubted: the engine is taken to have moved in the same proportion as what was read. Only a
 * speed that it can have come to in that way ends the doubt; a row of even pulses must then confirm it anew.
 */
function jumpInDoubt(before: u32, now: u32): void {
  const believed = min<u32>((before * engine.believedSpeed) / engine.misreadSpeed, 0xffff);
  doubt(believed, now);
  if (!isBack(believed, now)) return;
  engine.misreadSpeed = 0;
  engine.evenPulses = 0;
}

/** A reading that came too fast from the one before. */
function jump(before: u32, now: u32, us: u32): void {
  engine.tooFast += 1;
  engine.strayUs = min<u32>(engine.strayUs + us, LONGEST_APART_US);
  if (engine.misreadSpeed) jumpInDoubt(before, now);
  else if (engine.evenPulses >= EVEN_PULSES) doubt(before, now);
  else if (engine.believedSpeed && !isBack(engine.believedSpeed, now)) doubt(engine.believedSpeed, now);
  else engine.evenPulses = 0;
}

/** A reading that an engine can come to from the one before. The first after a jump stays with a speed that cannot be. */
function follow(now: u32): void {
  engine.strayUs = 0;
  if (engine.misreadSpeed) {
    engine.tooFast = engine.tooFast === 1 ? 2 : 0;
    return;
  }
  engine.tooFast = 0;
  if (engine.believedSpeed) engine.believedSpeed = now;
  if (engine.evenPulses < EVEN_PULSES) engine.evenPulses += 1;
}

function followEngine(): void {
  const us = min<u32>(inputs.engineEdgeUs - engine.judgedUs, LONGEST_APART_US);
  engine.judgedUs = inputs.engineEdgeUs;
  if (engine.trust < 2 || !inputs.enginePeriodUs) {
    if (engine.trust) forgetConfirmed();
    else forgetEngine();
    return;
  }
  if (us === 0) return;
  const before = engine.judgedSpeed;
  const now = engine.pulseSpeed;
  engine.judgedSpeed = now;
  if (!before) return;
  if (engineOutran(before, now, us)) jump(before, now, us);
  else follow(now);
}

/** Two moves in a row that an engine cannot make, or one that is not taken back by the next pulse, trip; only armed. */
export function judgeJump(): void {
  if (!setting(S.ENGINE_JUMP_PRESENT)) return;
  followEngine();
  if (engine.tooFast >= 2 && isArmed()) trip(N.LOCK_RPM_JUMP, engine.judgedSpeed);
}

/** Is the engine's speed not confirmed yet, or a misreading? Nothing may flow by it. */
// @inline
export function speedDoubted(): bool {
  return (
    setting(S.ENGINE_JUMP_PRESENT) !== 0 && (engine.evenPulses < EVEN_PULSES || engine.misreadSpeed !== 0)
  );
}

/** Counts how often in a row the road speed rose faster than wheels with grip can. */
function followRoad(): void {
  const us = min<u32>(inputs.roadEdgeUs - road.judgedUs, ROAD_APART_US);
  const before = road.judgedSpeed;
  const now = road.pulseSpeed;
  if (road.trust < 2 || !inputs.roadPeriodUs) {
    road.judgedSpeed = 0;
    road.judgedUs = inputs.roadEdgeUs;
    road.tooFast = 0;
    return;
  }
  if (us === 0) return;
  const fastest = setting(S.DRIVELINE_FASTEST_DECI_KMH_PER_S) * us;
  road.tooFast = before && now > before && outran(now - before, 0, fastest) ? road.tooFast + 1 : 0;
  road.judgedSpeed = now;
  road.judgedUs = inputs.roadEdgeUs;
}

/** Wheelspin does not trip: it cuts every stage back for a while (see flow.ts). */
export function judgeDriveline(): void {
  state.cutBackUs = state.cutBackUs > state.dtUs ? state.cutBackUs - state.dtUs : 0;
  if (!setting(S.DRIVELINE_PRESENT)) return;
  followRoad();
  if (road.tooFast >= 2 && isArmed()) state.cutBackUs = setting(S.DRIVELINE_HOLD_MS) * 1000;
}
