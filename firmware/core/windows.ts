// Windows with hysteresis: in at open, out below open less hysteresis or above close, in again under close less hysteresis.
import { ADC_MANIFOLD } from "./generated/blocks";
import * as N from "./generated/numbers";
import * as S from "./generated/settings";
import { ACTIVE, addUntilFull, engine, road, Stage, sensor, stageSettings, stageState, state } from "./state";

/*
 * Windows have numbers. 0 to 3: the system's on engine speed, road speed, manifold pressure and gear. 4 to 7: those of
 * the stages on engine speed. A stage's others have 1 to 3 in the same order, and their bounds lie in its state.
 */
const SYSTEM: u32 = 0xf;
const STAGE_ENGINES: u32 = 0xf0;
const OTHERS: u32 = 0xe;
const FIRST_ENGINE: u32 = 4;
const AFTER_LAST: u32 = 8;
const GEAR: u32 = 3;
/** From the words of a window to those of its owner's next. */
const NEXT: usize = 8;
const EVERYTHING: u32 = 0xffffffff;

/** What is inside each window now: the lowest value, and how far it goes up from there; 32 bits each. */
export const BOUNDS: usize = memory.data(64, 8);
/** The same for all stages' windows on engine speed together. */
const ALL_ENGINES: usize = memory.data(8, 8);

function boundsOf(n: u32): usize {
  return BOUNDS + ((n as usize) << 3);
}

// @inline
function outside(bounds: usize, value: u32): bool {
  return value - load<u32>(bounds) > load<u32>(bounds, 4);
}

/** Works out bounds by a window's words and whether it has been left; those of one that is not there hold everything. */
function bound(bounds: usize, at: usize, present: u32, isGear: bool, left: u32): void {
  let low: u32 = 0;
  let width = EVERYTHING;
  if (present) {
    low = load<u16>(at);
    width = (load<u16>(at, 2) as u32) - low;
    const hysteresis = load<u16>(at, 4) as u32;
    if (isGear) low += 1;
    else if (left) width -= hysteresis;
    else {
      const lower = min<u32>(low, hysteresis);
      low -= lower;
      width += lower;
    }
  }
  store<u32>(bounds, low);
  store<u32>(bounds, width, 4);
}

/** The same for a window of the system, 0 to 3, or one of a stage on engine speed, 4 to 7. */
function boundNumbered(n: u32): void {
  const system = ACTIVE + S.WINDOWS_ENGINE_SPEED_AT + (n as usize) * NEXT;
  const at = n < FIRST_ENGINE ? system : stageSettings(n - FIRST_ENGINE) + S.STAGE_ENGINE_SPEED_AT;
  const present: u32 = n ? load<u16>(at - 2) : 1;
  bound(boundsOf(n), at, present, n === GEAR, (state.windowsLeft >> n) & 1);
}

/** The same for a stage's others, 1 to 3. */
function boundOther(stage: Stage, n: u32): void {
  const at = stage.settings + S.STAGE_ENGINE_SPEED_AT + (n as usize) * NEXT;
  const bounds = changetype<usize>(stage) + offsetof<Stage>("roadLow") + ((n - 1) as usize) * 8;
  bound(bounds, at, load<u16>(at - 2), n === GEAR, (stage.windowsLeft >> n) & 1);
}

/** Works out, while none is left, what lies inside all windows of stages on engine speed: there none is looked at by itself. */
function boundEngines(): void {
  let low: u32 = 0;
  let high = EVERYTHING;
  for (let n = FIRST_ENGINE; n < AFTER_LAST; n++) {
    const its = load<u32>(boundsOf(n));
    low = max<u32>(low, its);
    high = min<u32>(high, addUntilFull(its, load<u32>(boundsOf(n), 4)));
  }
  const any = high >= low;
  store<u32>(ALL_ENGINES, any ? low : EVERYTHING);
  store<u32>(ALL_ENGINES, any ? high - low : 0, 4);
}

/** Notes which of four windows, from number `first` on, have moved in or out. */
function note(moved: u32, first: u32): void {
  state.windowsLeft ^= moved;
  for (let n = first; n < first + 4; n++) if ((moved >> n) & 1) boundNumbered(n);
}

/** Notes which of a stage's others have moved in or out. */
function noteOthers(stage: Stage, moved: u32): void {
  stage.windowsLeft ^= moved;
  for (let n: u32 = 1; n <= GEAR; n++) if ((moved >> n) & 1) boundOther(stage, n);
}

/** Works out the bounds of all windows for the settings in force. */
export function prepareWindows(): void {
  if (S.WINDOWS_GEARS_AT !== S.WINDOWS_ENGINE_SPEED_AT + 3 * NEXT) unreachable();
  if (S.STAGE_GEARS_AT !== S.STAGE_ENGINE_SPEED_AT + 3 * NEXT) unreachable();
  state.windowsLeft = 0;
  note(SYSTEM, 0);
  for (let n = FIRST_ENGINE; n < AFTER_LAST; n++) boundNumbered(n);
  boundEngines();
  note(STAGE_ENGINES, FIRST_ENGINE);
  for (let s: u32 = 0; s < S.STAGES; s++) noteOthers(stageState(s), OTHERS);
}

/** Bits of the interlocks for windows that are left: bit 0 engine speed, 1 road speed, 2 manifold pressure, 3 gear. */
function reasonsOf(left: u32): u32 {
  let reasons: u32 = left & 1 ? 1 << N.LOCK_RPM_WIN : 0;
  if (left & 2) reasons |= 1 << N.LOCK_SPEED_WIN;
  if (left & 4) reasons |= 1 << N.LOCK_MAP_WIN;
  return left & 8 ? reasons | (1 << N.LOCK_GEAR_WIN) : reasons;
}

/** Bits of the interlocks whose window of the system is left. */
export function systemWindows(): u32 {
  let left: u32 = outside(BOUNDS, engine.speed) ? 1 : 0;
  if (outside(BOUNDS + 8, road.speed)) left |= 2;
  if (outside(BOUNDS + 16, sensor(ADC_MANIFOLD).value)) left |= 4;
  if (outside(BOUNDS + 24, state.gear)) left |= 8;
  const moved = (state.windowsLeft ^ left) & SYSTEM;
  if (moved) note(moved, 0);
  return left ? reasonsOf(left) : 0;
}

/** Bit s: the engine is outside stage s + 1's own window on its speed. Judged in every tick. */
export function enginesOutside(): u32 {
  const rpm = engine.speed;
  if (!(state.windowsLeft & STAGE_ENGINES) && !outside(ALL_ENGINES, rpm)) return 0;
  let left: u32 = outside(BOUNDS + 32, rpm) ? 0x10 : 0;
  if (outside(BOUNDS + 40, rpm)) left |= 0x20;
  if (outside(BOUNDS + 48, rpm)) left |= 0x40;
  if (outside(BOUNDS + 56, rpm)) left |= 0x80;
  const moved = (state.windowsLeft ^ left) & STAGE_ENGINES;
  if (moved) note(moved, FIRST_ENGINE);
  return left >> 4;
}

/** Bits of the interlocks whose windows of a stage are left. Its window on engine speed was judged before in this tick. */
// @inline
export function stageWindows(stage: Stage): u32 {
  let left: u32 = road.speed - stage.roadLow > stage.roadWidth ? 2 : 0;
  if ((sensor(ADC_MANIFOLD).value as u32) - stage.manifoldLow > stage.manifoldWidth) left |= 4;
  if (state.gear - stage.gearLow > stage.gearWidth) left |= 8;
  const moved = stage.windowsLeft ^ left;
  if (moved) noteOthers(stage, moved);
  return left ? reasonsOf(left) : 0;
}
