// The retard request: degrees over the whole flow that is asked for, so that timing runs ahead of flow and falls behind it.
import * as S from "./generated/settings";
import { ACTIVE, setting, stageState, state } from "./state";

/** Whole flow asked for, in permille of all stages together. A stage that is not configured asks for nothing. */
function wholeFlow(): u32 {
  const first = stageState(0).askedFlow + stageState(1).askedFlow;
  const second = stageState(2).askedFlow + stageState(3).askedFlow;
  return ((first + second) / state.portions) >> 5;
}

/** Degrees of the table, straight between its points, ends held. */
function tableAt(flow: u32): u32 {
  let at = ACTIVE + S.RETARD_TABLE_FIRST;
  const last = at + (setting(S.RETARD_TABLE_COUNT) as usize) * S.RETARD_TABLE_STRIDE - S.RETARD_TABLE_STRIDE;
  if (flow <= load<u16>(at)) return flow ? load<u16>(at, 2) : 0;
  for (; at < last; at += S.RETARD_TABLE_STRIDE) {
    if (flow >= load<u16>(at, 4)) continue;
    const x0 = load<u16>(at) as u32;
    const y0 = load<u16>(at, 2) as u32;
    return y0 + ((load<u16>(at, 6) - y0) * (flow - x0)) / (load<u16>(at, 4) - x0);
  }
  return load<u16>(last, 2);
}

/** Follows the flow once a round of turns: up at once, down only after the lead. Returns the pulse in counter steps. */
export function retardSteps(): u32 {
  if (!state.settingsValid || !setting(S.RETARD_PRESENT)) return 0;
  state.flowPermille = wholeFlow();
  const wanted = tableAt(state.flowPermille);
  if (wanted >= state.retardDeciDeg) {
    state.retardDeciDeg = wanted;
    state.retardHoldUs = setting(S.RETARD_LEAD_MS) * 1000;
  } else if (state.retardHoldUs > state.roundUs) state.retardHoldUs -= state.roundUs;
  else state.retardDeciDeg = wanted;
  return (state.retardDeciDeg * state.periodSteps) / setting(S.RETARD_FULL_SIGNAL_DECI_DEG);
}
