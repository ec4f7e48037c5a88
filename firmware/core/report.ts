// Writes the remaining outputs and what the controller says of itself.
import { KEEP_ALIVE_EDGES, KEEP_ALIVE_HIGH, KEEP_ALIVE_LOW } from "./arming";
import { bottleAllowed, bottleOutputs } from "./bottle";
import * as B from "./generated/blocks";
import * as S from "./generated/settings";
import { lampOn } from "./lamp";
import { lockoutToKeep } from "./latch";
import { noteMeasured } from "./log";
import { retardSteps } from "./retard";
import { engine, inputs, live, outputs, road, sensor, setting, stageState, state } from "./state";

/** What changes slowly is worked out once a round of turns. */
function putSlow(flowing: u32, sensorsGood: bool): void {
  const turn = state.turn;
  if (turn === 0) state.lampOn = lampOn() ? B.OUTPUT_LAMP : 0;
  else if (turn === 1) state.bottleFlags = bottleOutputs(flowing, sensorsGood);
  else if (turn === 2) state.retardSteps = retardSteps();
  else {
    putMeasured();
    putShares();
    noteMeasured();
  }
}

function keepAliveBits(): u32 {
  const keepAlive = state.keepAlive;
  if (keepAlive === KEEP_ALIVE_LOW) return 0;
  if (keepAlive === KEEP_ALIVE_EDGES) return B.OUTPUT_KEEP_ALIVE;
  if (keepAlive !== KEEP_ALIVE_HIGH) unreachable();
  return B.OUTPUT_KEEP_ALIVE_HIGH;
}

/** Relay, bottle, stage-active, retard and lamp. The keep-alive runs only as the self-test and the modes say. */
export function putOutputs(flowing: u32, sensorsGood: bool): void {
  putSlow(flowing, sensorsGood);
  const relay = keepAliveBits();
  const active: u32 = flowing ? B.OUTPUT_STAGE_ACTIVE : 0;
  outputs.flags = relay | state.lampOn | active | (state.bottleFlags & bottleAllowed(flowing, sensorsGood));
  outputs.top = (state.settingsValid ? state.periodSteps - 1 : 0xffff) as u16;
  outputs.retard = state.retardSteps as u16;
  outputs.ackedCuts = state.cutsSeen;
  outputs.lockout = lockoutToKeep();
  outputs.gaps = state.gaps;
}

function allReasons(flowing: u32): u32 {
  let reasons = state.reasons;
  if (flowing || !state.settingsValid) return reasons;
  const count = setting(S.STAGES_COUNT);
  for (let s: u32 = 0; s < count; s++) reasons |= stageState(s).reasons;
  return reasons;
}

/** Without a position sensor, what the switch says. */
function throttlePermille(): u32 {
  if (setting(S.THROTTLE_POSITION_PRESENT)) return sensor(B.ADC_THROTTLE).value as u32;
  return inputs.switches & B.SWITCH_THROTTLE ? 1000 : 0;
}

function putMeasured(): void {
  live.engineRpm = engine.speed as u16;
  live.roadDeciKmh = road.speed as u16;
  live.throttlePermille = throttlePermille() as u16;
  live.manifoldDeciKpa = sensor(B.ADC_MANIFOLD).value as u16;
  live.bottleKpaGauge = sensor(B.ADC_BOTTLE).value as u16;
  live.fuelDeciKpaGauge = sensor(B.ADC_FUEL).value as u16;
  live.milliLambda = sensor(B.ADC_LAMBDA).value as u16;
  live.coolantMv = sensor(B.ADC_COOLANT).value as u16;
  live.batteryMv = state.batteryMv as u16;
  live.supplyMv = state.supplyMv as u16;
  live.gear = state.gear as u16;
  live.retardDeciDeg = state.retardDeciDeg as u16;
}

function putShares(): void {
  store<u16>(B.LIVE_SHARE_PERMILLE, (stageState(0).shareX32 >> 5) as u16);
  store<u16>(B.LIVE_SHARE_PERMILLE, (stageState(1).shareX32 >> 5) as u16, 2);
  store<u16>(B.LIVE_SHARE_PERMILLE, (stageState(2).shareX32 >> 5) as u16, 4);
  store<u16>(B.LIVE_SHARE_PERMILLE, (stageState(3).shareX32 >> 5) as u16, 6);
}

/** Updates the live block. Reasons of single stages are reported only while none flows. */
export function putLive(flowing: u32): void {
  live.timeUs = state.nowUs;
  live.reasons = allReasons(flowing);
  live.tripValue = state.tripValue;
  live.noiseCuts = state.noiseCuts;
  live.mode = state.mode as u8;
  live.trip = state.trip as u8;
  live.flowing = flowing as u8;
  live.flags = outputs.flags as u8;
  live.switches = inputs.switches as u16;
  live.loopUs = inputs.loopUs;
}
