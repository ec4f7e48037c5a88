// One trial of a fault that strikes while everything flows: apply at an exact time, measure, ask, undo, see it come back.
import type { Interlock } from "#shared-schema/model/interlocks.ts";
import { allowedUs, RELAY_US } from "./allowed.ts";
import { faultProblems, rowOf, untouched, wayBack } from "./reactions.ts";
import { type FlowFault, phaseUs, type Scenario, TRIALS, type Trial } from "./scenario.ts";
import type { TestBench } from "./test-bench.ts";
import { toNextTick } from "./watched-entry.ts";

/** How much longer than allowed it is looked at. */
const LOOK_US = 22_000;
const LOOK_STEP_US = 1000;
const STAYS_US = 10_000;

function strike(bench: TestBench, fault: FlowFault, trial: number): number {
  toNextTick(bench);
  bench.board.runFor(phaseUs(trial));
  fault.until?.(bench);
  const appliedNs = bench.nowNs;
  fault.apply(bench);
  return appliedNs;
}

function timeProblems(pinsUs: number | undefined, allowed: number): string[] {
  if (pinsUs === undefined) return ["solenoid pins are still high"];
  return pinsUs <= allowed
    ? []
    : [`pins low after ${Math.round(pinsUs)} us, allowed ${Math.round(allowed)} us`];
}

/** With two faults at once the pins have the quicker one's time. */
function pinsAllowedUs(bench: TestBench, soonerRow: string | undefined, ownUs: number): number {
  return soonerRow === undefined ? ownUs : Math.min(ownUs, allowedUs(rowOf(soonerRow), bench) ?? ownUs);
}

/** Lets the fault last; where it ends in an open relay, no longer than until then. */
function look(bench: TestBench, { reaction }: Interlock, us: number): void {
  if (reaction === "hold-off" || reaction === "cut-back") bench.board.runFor(us);
  else if (bench.board.runUntil(() => bench.stopped, us, LOOK_STEP_US)) bench.board.runFor(STAYS_US);
}

/** When the cause began. A fault that has struck and did not show may have left its traces in this bench. */
function causeOf(bench: TestBench, fault: FlowFault, appliedNs: number): number {
  try {
    return fault.causeNs?.(bench, appliedNs) ?? appliedNs;
  } catch (thrown) {
    bench.spoilt = true;
    throw thrown;
  }
}

async function flowTrial(bench: TestBench, fault: FlowFault, trial: number): Promise<Trial> {
  const row = rowOf(fault.row);
  const fresh = trial === 0 || row.lasting !== undefined;
  if (fresh && !bench.freshFlow()) return { wrong: ["it did not come to full flow"] };
  const ownUs = allowedUs(row, bench, fault.plusUs?.(bench)) ?? RELAY_US;
  const allowed = pinsAllowedUs(bench, fault.soonerRow, ownUs);
  const appliedNs = strike(bench, fault, trial);
  look(bench, row, fault.lookUs?.(bench) ?? ownUs + LOOK_US);
  const causeNs = causeOf(bench, fault, appliedNs);
  const pinsUs = bench.lowAfterUs(causeNs);
  const live = await bench.client.status();
  const wrong = [
    ...timeProblems(pinsUs, allowed),
    ...faultProblems(bench, row, live, causeNs, ownUs, fault.also ?? []),
  ];
  const relayUs = row.reaction === "hold-off" ? undefined : bench.relayOpenAfterUs(causeNs);
  fault.undo?.(bench);
  bench.stimulus.good();
  wrong.push(...wayBack(bench, row, trial > 0), ...(await untouched(bench)));
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
    run: (bench, trial) => flowTrial(bench, fault, trial),
  };
}
