// Windows with hysteresis: in at open, out below open less hysteresis or above close, in again under close less hysteresis.
import { ADC_MANIFOLD } from "./generated/blocks";
import * as N from "./generated/numbers";
import * as S from "./generated/settings";
import { engine, road, sensor, setting, stageSettings, state } from "./state";

/** Windows of one owner: engine speed, road speed, manifold pressure. Owner 0 is the system, 1 to 4 are the stages. */
const WINDOWS_PER_OWNER: u32 = 3;

/** Judges one window, whose three words begin at `at`, and keeps its bit. */
function inside(bit: u32, at: usize, value: u32): bool {
  const open = setting(at);
  const close = setting(at + 2);
  const hysteresis = setting(at + 4);
  const was = (state.windows >> bit) & 1;
  const low = was ? open - min<u32>(open, hysteresis) : open;
  const high = was ? close : close - hysteresis;
  const is = value >= low && value <= high;
  state.windows = is ? state.windows | (1 << bit) : state.windows & ~(1 << bit);
  return is;
}

function gearInside(at: usize): bool {
  return state.gear > setting(at) && state.gear <= setting(at + 2) + 1;
}

/** The windows that can be left out. Offsets are those of their "present" words. */
function otherWindows(owner: u32, roadAt: usize, manifoldAt: usize, gearsAt: usize): u32 {
  let reasons: u32 = 0;
  const first = owner * WINDOWS_PER_OWNER;
  if (setting(roadAt) && !inside(first + 1, roadAt + 2, road.speed)) reasons |= 1 << N.LOCK_SPEED_WIN;
  if (setting(manifoldAt) && !inside(first + 2, manifoldAt + 2, sensor(ADC_MANIFOLD).value)) {
    reasons |= 1 << N.LOCK_MAP_WIN;
  }
  if (setting(gearsAt) && !gearInside(gearsAt + 2)) reasons |= 1 << N.LOCK_GEAR_WIN;
  return reasons;
}

/** Bits of the interlocks whose window of the system is left. */
export function systemWindows(): u32 {
  const in0 = inside(0, S.WINDOWS_ENGINE_SPEED_AT, engine.speed);
  const others = otherWindows(
    0,
    S.WINDOWS_ROAD_SPEED_PRESENT,
    S.WINDOWS_MANIFOLD_PRESENT,
    S.WINDOWS_GEARS_PRESENT,
  );
  return (in0 ? 0 : 1 << N.LOCK_RPM_WIN) | others;
}

/** Is the engine outside the stage's own window on its speed? Judged in every tick. */
export function engineOutside(s: u32): bool {
  return !inside((s + 1) * WINDOWS_PER_OWNER, stageSettings(s) + S.STAGE_ENGINE_SPEED_AT, engine.speed);
}

/** Bits of the interlocks whose other windows of a stage are left. Judged in the stage's turn. */
export function stageWindows(s: u32): u32 {
  const at = stageSettings(s);
  const roadAt = at + S.STAGE_ROAD_SPEED_PRESENT;
  return otherWindows(s + 1, roadAt, at + S.STAGE_MANIFOLD_PRESENT, at + S.STAGE_GEARS_PRESENT);
}
