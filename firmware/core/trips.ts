// What trips: faults after which the arm switch must be cycled. Only an armed controller trips: in off nothing can flow.

import { forgetDrivers, watchDrivers, watchTripped } from "./drivers";
import * as B from "./generated/blocks";
import * as N from "./generated/numbers";
import * as S from "./generated/settings";
import { fuelLow } from "./interlocks";
import { trip } from "./latch";
import {
  addUntilFull,
  engine,
  inputs,
  isArmed,
  road,
  Shaft,
  Stage,
  sensor,
  setting,
  stageInTurn,
  state,
} from "./state";

/** So many ticks in a row of an implausible sensor, or of a dead converter, trip. */
const SENSOR_TICKS: u32 = 3;
/** No setting allows a larger move between two pulses: 60000 units a second for 60 ms. */
const LARGEST_MOVE: u32 = 3_600;
/** Throttle switch and sensor may contradict each other for this long. */
const CONTRADICT_US: u32 = 100_000;
/** Fuel pressure dips when a stage opens; in more turns in a row than these, 4 ms apart, it is missing fuel. */
const FUEL_TURNS: u32 = 2;
/** Longest time between two turns: a limit that would be passed before the next turn counts as passed. */
const TURN_US: u32 = 4 * B.TICK_US;
/** Without this pressure behind the bottle valve nothing has come. */
const NO_PRESSURE_KPA: i32 = 1_000;

function judgeSensors(good: bool, adcGood: bool): void {
  if (good && adcGood) {
    state.sensorBad = 0;
    state.adcBad = 0;
    return;
  }
  state.sensorBad = good ? 0 : min<u32>(state.sensorBad + 1, SENSOR_TICKS);
  state.adcBad = adcGood ? 0 : min<u32>(state.adcBad + 1, SENSOR_TICKS);
  if (state.adcBad >= SENSOR_TICKS) trip(N.LOCK_ADC, inputs.adcMissing);
  // A converter that dies in mid-round first spoils single sensors.
  const lock: u32 = state.adcBad ? N.LOCK_ADC : N.LOCK_SENSOR;
  if (state.sensorBad >= SENSOR_TICKS) trip(lock, load<u32>(B.INPUTS_ADC_A));
}

function judgeLost(): void {
  if (state.mode === N.MODE_FLOWING) state.engineLostWatch = 1;
  else if (engine.ageUs <= state.dtUs) state.engineLostWatch = 0;
  if (state.engineLostWatch && state.engineLost) trip(N.LOCK_RPM_LOST, engine.ageUs);
}

/** Is a move of so many units, less those that are free and one for rounding, more than `most` millionths of a unit? */
function outran(moved: u32, free: u32, most: u32): bool {
  if (moved <= free + 1) return false;
  const counted = moved - free - 1;
  return counted > LARGEST_MOVE || counted * 1_000_000 > most;
}

/**
 * Judges how fast a shaft's speed moves from pulse to pulse, in speed units a second; counts how often in a row it was
 * faster than `fastest`. `uneven` / 65536 of the speed is free: pulses are never quite even. `rises` judges only rises.
 */
// @inline
function judgeChange(shaft: Shaft, edgeUs: u32, periodUs: u32, fastest: u32, uneven: u32, rises: bool): void {
  const apartUs = min<u32>(edgeUs - shaft.judgedUs, 60_000);
  if (shaft.trust < 2 || !periodUs) {
    shaft.judgedSpeed = 0;
    shaft.judgedUs = edgeUs;
    shaft.tooFast = 0;
    return;
  }
  if (apartUs === 0) return;
  const now = shaft.pulseSpeed;
  const before = shaft.judgedSpeed;
  const moved = now > before ? now - before : rises ? 0 : before - now;
  const most = fastest * apartUs;
  shaft.tooFast = before && outran(moved, (before * uneven) >> 16, most) ? shaft.tooFast + 1 : 0;
  shaft.judgedSpeed = now;
  shaft.judgedUs = edgeUs;
}

/** Only armed: while flash is written in off, pulses are missed, and what they then seem to say is no fault. */
function judgeJump(): void {
  if (!setting(S.ENGINE_JUMP_PRESENT)) return;
  judgeChange(
    engine,
    inputs.engineEdgeUs,
    inputs.enginePeriodUs,
    setting(S.ENGINE_JUMP_FASTEST_RPM_PER_S),
    state.unevenX64k,
    false,
  );
  if (engine.tooFast >= 2 && isArmed()) trip(N.LOCK_RPM_JUMP, engine.judgedSpeed);
}

/** Wheelspin does not trip: it cuts every stage back for a while (see flow.ts). */
function judgeDriveline(): void {
  state.cutBackUs = state.cutBackUs > state.dtUs ? state.cutBackUs - state.dtUs : 0;
  if (!setting(S.DRIVELINE_PRESENT)) return;
  judgeChange(
    road,
    inputs.roadEdgeUs,
    inputs.roadPeriodUs,
    setting(S.DRIVELINE_FASTEST_DECI_KMH_PER_S),
    0,
    true,
  );
  if (road.tooFast >= 2 && isArmed()) state.cutBackUs = setting(S.DRIVELINE_HOLD_MS) * 1000;
}

function judgeThrottle(): void {
  if (!setting(S.THROTTLE_SWITCH) || !setting(S.THROTTLE_POSITION_PRESENT)) return;
  const opening = sensor(B.ADC_THROTTLE).value;
  const closed = (inputs.switches & B.SWITCH_THROTTLE) !== 0;
  const contradict = closed
    ? opening < (setting(S.THROTTLE_POSITION_CLOSES_AT_PERMILLE) as i32)
    : opening >= (setting(S.THROTTLE_POSITION_OPENS_AT_PERMILLE) as i32);
  state.contradictUs = contradict ? addUntilFull(state.contradictUs, state.roundUs) : 0;
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
  state.fuelLowTurns = missing ? state.fuelLowTurns + 1 : 0;
  if (state.fuelLowTurns > FUEL_TURNS) trip(N.LOCK_FUEL_LOW, sensor(B.ADC_FUEL).value as u32);
}

function judgeMixture(): void {
  if (!setting(S.LAMBDA_PRESENT)) return;
  const lambda = sensor(B.ADC_LAMBDA).value;
  const lean = state.mode === N.MODE_FLOWING && lambda > (setting(S.LAMBDA_LEANEST_MILLI_LAMBDA) as i32);
  state.leanUs = lean ? addUntilFull(state.leanUs, state.roundUs) : 0;
  if (state.leanUs + TURN_US > setting(S.LAMBDA_WITHIN_MS) * 1000) trip(N.LOCK_LEAN, lambda as u32);
}

/** A stage is judged in its turn, before it moves on: its flowed time is a turn old, and the next judgement a turn away. */
function judgeStage(stage: Stage): void {
  if (stage.flowedUs + 2 * TURN_US > stage.longestUs) trip(N.LOCK_TIME, stage.flowedUs);
  if (!stage.confirmUs) return;
  const waiting = stage.shareX32 > 0 && !(inputs.switches & B.SWITCH_ENRICH);
  stage.unconfirmedUs = waiting ? stage.unconfirmedUs + state.roundUs : 0;
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
