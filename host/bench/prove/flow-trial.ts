// One trial of a fault that strikes while everything flows: apply at an exact time, measure, ask, undo, see it come back.
import { allowedUs, RELAY_US } from "./allowed.ts";
import { faultProblems, rowOf, untouched, wayBack } from "./reactions.ts";
import { type FlowFault, phaseUs, type Scenario, TRIALS, type Trial } from "./scenario.ts";
import type { Stand } from "./test-bench.ts";
import { toNextTick } from "./watched-entry.ts";

/** How much longer than allowed it is looked at. */
const LOOK_US = 22_000;

function strike(stand: Stand, fault: FlowFault, trial: number): number {
  toNextTick(stand);
  stand.board.runFor(phaseUs(trial));
  fault.until?.(stand);
  const appliedNs = stand.nowNs;
  fault.apply(stand);
  return appliedNs;
}

function timeProblems(pinsUs: number | undefined, allowed: number): string[] {
  if (pinsUs === undefined) return ["solenoid pins are still high"];
  return pinsUs <= allowed
    ? []
    : [`pins low after ${Math.round(pinsUs)} us, allowed ${Math.round(allowed)} us`];
}

async function flowTrial(stand: Stand, fault: FlowFault, trial: number): Promise<Trial> {
  if (trial === 0 && !stand.toFlow()) return { wrong: ["it did not come to full flow"] };
  const row = rowOf(fault.row);
  const allowed = allowedUs(row, stand, fault.plusUs?.(stand)) ?? RELAY_US;
  const appliedNs = strike(stand, fault, trial);
  stand.board.runFor(fault.lookUs?.(stand) ?? allowed + LOOK_US);
  const causeNs = fault.causeNs?.(stand, appliedNs) ?? appliedNs;
  const pinsUs = stand.lowAfterUs(causeNs);
  const live = await stand.teller.status();
  const wrong = [
    ...timeProblems(pinsUs, allowed),
    ...faultProblems(stand, row, live, causeNs, allowed, fault.also ?? []),
  ];
  const relayUs = row.reaction === "hold-off" ? undefined : stand.relayOpenAfterUs(causeNs);
  fault.undo?.(stand);
  stand.senses.good();
  wrong.push(...wayBack(stand, row), ...(await untouched(stand)));
  return { pinsUs, relayUs, allowedUs: allowed, wrong };
}

/** A fault under flow as a scenario. */
export function whileFlowing(fault: FlowFault): Scenario {
  const { row, fits, change } = fault;
  return {
    row,
    fault: fault.fault,
    trials: fault.trials ?? TRIALS,
    ...(fits ? { fits } : {}),
    ...(change ? { change } : {}),
    run: (stand, trial) => flowTrial(stand, fault, trial),
  };
}
