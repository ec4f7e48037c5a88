// What trips: faults after which the arm switch must be cycled. Only an armed controller trips: in off nothing can flow.

import { NO_PRESSURE_KPA } from "./bottle";
import { forgetDrivers, watchDrivers, watchTripped } from "./drivers";
import * as B from "./generated/blocks";
import * as N from "./generated/numbers";
import * as S from "./generated/settings";
import { fuelLow } from "./interlocks";
import { trip } from "./latch";
import { doubtedSensors } from "./measure";
import { judgeDriveline, judgeJump } from "./speed";
import { addUntilFull, engine, inputs, isArmed, Stage, sensor, setting, stageInTurn, state } from "./state";

/** What a bad sample counts, where a good one takes back 1: what is bad for more than a third of the time adds up. */
const BAD: u32 = 2;
/** So many ticks in a row of an implausible sensor, or of a dead converter, trip. */
const SENSOR_TICKS: u32 = 3;
/** Throttle switch and sensor may contradict each other for this long. */
const CONTRADICT_US: u32 = 100_000;
/** Fuel pressure dips when a stage opens; in more turns in a row than these, 4 ms apart, it is missing fuel. */
const FUEL_TURNS: u32 = 2;
/** Longest time between two turns: a limit that would be passed before the next turn counts as passed. */
const TURN_US: u32 = 4 * B.TICK_US;

function counted(bad: u32, good: bool): u32 {
  return good ? bad - min<u32>(bad, 1) : min<u32>(bad + BAD, SENSOR_TICKS * BAD);
}

function judgeSensors(good: bool, adcGood: bool): void {
  if (good && adcGood && !(state.sensorBad | state.adcBad)) return;
  state.sensorBad = counted(state.sensorBad, good);
  state.adcBad = counted(state.adcBad, adcGood);
  if (state.adcBad >= SENSOR_TICKS * BAD) trip(N.LOCK_ADC, inputs.adcMissing);
  if (state.sensorBad < SENSOR_TICKS * BAD) return;
  // A converter that dies in mid-round first spoils single sensors.
  if (state.adcBad) trip(N.LOCK_ADC, inputs.adcMissing);
  else trip(N.LOCK_SENSOR, doubtedSensors());
}

function judgeLost(): void {
  if (state.mode === N.MODE_FLOWING) state.engineLostWatch = 1;
  else if (engine.ageUs <= state.dtUs) state.engineLostWatch = 0;
  if (state.engineLostWatch && state.engineLost) trip(N.LOCK_RPM_LOST, engine.ageUs);
}

/**
 * How long a fault has shown, in turns: while it does not, the time leaks at half speed, so that what shows for more than a
 * third of the time adds up. One good sample takes back no more than half of one bad one.
 */
// @inline
function leaky(us: u32, shows: bool): u32 {
  return shows ? addUntilFull(us, state.roundUs) : us - min<u32>(us, state.roundUs >> 1);
}

function judgeThrottle(): void {
  if (!setting(S.THROTTLE_SWITCH) || !setting(S.THROTTLE_POSITION_PRESENT)) return;
  const opening = sensor(B.ADC_THROTTLE).value;
  const closed = (inputs.switches & B.SWITCH_THROTTLE) !== 0;
  const contradict = closed
    ? opening < (setting(S.THROTTLE_POSITION_CLOSES_AT_PERMILLE) as i32)
    : opening >= (setting(S.THROTTLE_POSITION_OPENS_AT_PERMILLE) as i32);
  state.contradictUs = leaky(state.contradictUs, contradict);
  if (state.contradictUs + TURN_US > CONTRADICT_US) trip(N.LOCK_TPS_SW, opening as u32);
}

function judgeBoost(): void {
  const boost = sensor(B.ADC_MANIFOLD).value;
  if (boost > (setting(S.MANIFOLD_OVERBOOST_ABOVE_DECI_KPA) as i32)) trip(N.LOCK_OVERBOOST, boost as u32);
}

function judgeBottle(): void {
  if (!setting(S.BOTTLE_PRESENT)) return;
  const bottle = sensor(B.ADC_BOTTLE).value;
  if (bottle > (setting(S.BOTTLE_HIGHEST_KPA_GAUGE) as i32)) trip(N.LOCK_BOTTLE_HIGH, bottle as u32);
  const late = state.valveOpenUs + TURN_US > setting(S.BOTTLE_VALVE_OPENS_WITHIN_MS) * 1000;
  if (setting(S.BOTTLE_VALVE_PRESENT) && late && bottle < NO_PRESSURE_KPA) trip(N.LOCK_VALVE, bottle as u32);
}

function judgeFuel(): void {
  const missing = fuelLow() && (state.fuelLowTurns > 0 || (state.flowing & state.wetStages) !== 0);
  if (missing) state.fuelLowTurns += BAD;
  else if (state.fuelLowTurns) state.fuelLowTurns -= 1;
  if (state.fuelLowTurns > FUEL_TURNS * BAD) trip(N.LOCK_FUEL_LOW, sensor(B.ADC_FUEL).value as u32);
}

function judgeMixture(): void {
  if (!setting(S.LAMBDA_PRESENT)) return;
  const lambda = sensor(B.ADC_LAMBDA).value;
  const lean = lambda > (setting(S.LAMBDA_LEANEST_MILLI_LAMBDA) as i32);
  if (state.mode === N.MODE_FLOWING) state.leanUs = leaky(state.leanUs, lean);
  if (state.leanUs + TURN_US > setting(S.LAMBDA_WITHIN_MS) * 1000) trip(N.LOCK_LEAN, lambda as u32);
}

/** A stage is judged in its turn, before it moves on: its flowed time is a turn old, and the next judgement a turn away. */
function judgeStage(stage: Stage): void {
  if (stage.flowedUs + 2 * TURN_US > stage.longestUs) trip(N.LOCK_TIME, stage.flowedUs);
  if (!stage.confirmUs) return;
  const confirmed = (inputs.switches & B.SWITCH_ENRICH) !== 0;
  if (stage.shareX32 > 0) stage.unconfirmedUs = leaky(stage.unconfirmedUs, !confirmed);
  if (stage.unconfirmedUs + TURN_US > stage.confirmUs) trip(N.LOCK_ENRICH, stage.unconfirmedUs);
}

function judgeTimes(): void {
  if (state.runFlowedUs > state.longestRunUs) trip(N.LOCK_TIME, state.runFlowedUs);
  if (state.turn < setting(S.STAGES_COUNT)) judgeStage(stageInTurn());
}

/** What sensors that are believed say; what takes longer than a few ticks to show is judged in turns. */
function judgeValues(): void {
  if (setting(S.MANIFOLD_OVERBOOST_PRESENT)) judgeBoost();
  if (state.turn === 0) judgeBottle();
  else if (state.turn === 1) judgeFuel();
  else if (state.turn === 2) judgeMixture();
  else judgeThrottle();
}

/** Trips what has to trip. */
export function judgeTrips(sensorsGood: bool, adcGood: bool): void {
  if (!state.settingsValid) return;
  judgeJump();
  judgeDriveline();
  if (!isArmed()) {
    if (state.mode === N.MODE_TRIPPED && adcGood) watchTripped();
    else forgetDrivers();
    return;
  }
  if (adcGood) watchDrivers();
  judgeSensors(sensorsGood, adcGood);
  judgeLost();
  if (sensorsGood) judgeValues();
  judgeTimes();
}
