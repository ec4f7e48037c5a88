// The retard request: degrees over the whole flow that is asked for, so that timing runs ahead of flow and falls behind it.
import * as S from "./generated/settings";
import { ACTIVE, setting, stageState, state } from "./state";

/** Whole flow asked for, in permille of all stages together. A stage that is not configured asks for nothing. */
function wholeFlow(): u32 {
  const first = stageState(0).askedFlow + stageState(1).askedFlow;
  const second = stageState(2).askedFlow + stageState(3).askedFlow;
  return ((first + second) / state.portions) >> 5;
}

const POINT: usize = 4;
/** Points of the table with its last one repeated behind every flow, so that each table has seven. */
const TABLE: usize = memory.data(28, 4);

/** Takes the table from the settings in force. */
export function prepareRetard(): void {
  if (S.RETARD_TABLE_STRIDE !== POINT) unreachable();
  const from = ACTIVE + S.RETARD_TABLE_FIRST;
  const count = max<u32>(setting(S.RETARD_TABLE_COUNT), 1) as usize;
  for (let n: usize = 0; n < 7; n++) {
    const its = from + min<usize>(n, count - 1) * POINT;
    store<u16>(TABLE + n * POINT, n < count ? load<u16>(its) : 0xffff);
    store<u16>(TABLE + n * POINT, load<u16>(its, 2), 2);
  }
}

/** Degrees of the table, straight between its points, ends held. */
function tableAt(flow: u32): u32 {
  if (flow <= load<u16>(TABLE)) return flow ? load<u16>(TABLE, 2) : 0;
  let at = flow < load<u16>(TABLE, 3 * POINT) ? TABLE : TABLE + 3 * POINT;
  if (flow >= load<u16>(at, 2 * POINT)) at += 2 * POINT;
  else if (flow >= load<u16>(at, POINT)) at += POINT;
  const x0 = load<u16>(at) as u32;
  const y0 = load<u16>(at, 2) as u32;
  return y0 + ((load<u16>(at, 6) - y0) * (flow - x0)) / (load<u16>(at, 4) - x0);
}

/** Takes over what is wanted: a rise at once, a fall to the most that was wanted in a lead since the last step down. */
function follow(wanted: u32): void {
  if (wanted >= state.retardDeciDeg) {
    state.retardDeciDeg = wanted;
    state.retardSinceUs = state.nowUs;
    state.retardNext = 0;
    return;
  }
  state.retardNext = max<u32>(state.retardNext, wanted);
  if (state.nowUs - state.retardSinceUs < setting(S.RETARD_LEAD_MS) * 1000) return;
  state.retardDeciDeg = state.retardNext;
  state.retardSinceUs = state.nowUs;
  state.retardNext = wanted;
}

/** Follows the flow once a round of turns: up at once, never down before a lead is over. Returns the pulse in counter steps. */
export function retardSteps(): u32 {
  if (!state.settingsValid || !setting(S.RETARD_PRESENT)) return 0;
  state.flowPermille = wholeFlow();
  follow(tableAt(state.flowPermille));
  return (state.retardDeciDeg * state.periodSteps) / setting(S.RETARD_FULL_SIGNAL_DECI_DEG);
}
