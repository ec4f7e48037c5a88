// The retard request: degrees over the whole flow that is asked for, so that timing runs ahead of flow and falls behind it.
import * as S from "./generated/settings";
import { setting, stageSettings, stageState, state } from "./state";

/** Whole flow asked for, in permille of all stages together. */
function wholeFlow(): u32 {
  let sum: u32 = 0;
  const count = setting(S.STAGES_COUNT);
  for (let s: u32 = 0; s < count; s++) {
    sum += (stageState(s).askedX32 as u32) * load<u16>(stageSettings(s), S.STAGE_PORTION_PERMILLE);
  }
  return (sum / state.portions) >> 5;
}

/** Degrees of the table, straight between its points, ends held. */
function tableAt(flow: u32): u32 {
  let at = S.RETARD_TABLE_FIRST;
  const count = setting(S.RETARD_TABLE_COUNT);
  if (flow <= setting(at)) return flow ? setting(at + 2) : 0;
  for (let i: u32 = 1; i < count; i++) {
    const next = at + S.RETARD_TABLE_STRIDE;
    if (flow < setting(next)) {
      const rise = setting(next + 2) - setting(at + 2);
      return setting(at + 2) + (rise * (flow - setting(at))) / (setting(next) - setting(at));
    }
    at = next;
  }
  return setting(at + 2);
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
