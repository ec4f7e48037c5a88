// Writes the remaining outputs and what the controller says of itself.
import * as B from "./generated/blocks";
import * as N from "./generated/numbers";
import * as S from "./generated/settings";
import { inputs, live, outputs, setting, stageState, state } from "./state";

/** Relay, stage-active and lamp. The keep-alive runs only while armed or flowing. */
export function putOutputs(flowing: u32): void {
  const up = state.mode === N.MODE_ARMED || state.mode === N.MODE_FLOWING;
  outputs.flags = (up ? B.OUTPUT_KEEP_ALIVE | B.OUTPUT_LAMP : 0) | (flowing ? B.OUTPUT_STAGE_ACTIVE : 0);
  outputs.top = (state.settingsValid ? state.periodSteps - 1 : 0xffff) as u16;
  outputs.retard = 0;
  outputs.ackedCuts = state.cutsSeen;
}

function allReasons(flowing: u32): u32 {
  let reasons = state.reasons;
  if (flowing || !state.settingsValid) return reasons;
  const count = setting(S.STAGES_COUNT);
  for (let s: u32 = 0; s < count; s++) reasons |= stageState(s).reasons;
  return reasons;
}

/** Brings the live block up to date. Reasons of single stages are told only while none flows. */
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
  live.engineRpm = state.engineRpm as u16;
  live.throttlePermille = state.throttlePermille as u16;
  live.roadDeciKmh = state.roadDeciKmh as u16;
  live.manifoldDeciKpa = state.manifoldDeciKpa as u16;
  live.batteryMv = state.batteryMv as u16;
  for (let s: u32 = 0; s < S.STAGES; s++) {
    store<u16>(B.LIVE_SHARE_PERMILLE + ((s as usize) << 1), (stageState(s).shareX32 >> 5) as u16);
  }
  live.loopUs = inputs.loopUs;
}
