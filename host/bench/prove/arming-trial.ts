// One trial of a fault that is there when the controller arms: it must lock out, nothing may ever flow, and power-off is the way back.
import { faultProblems, rowOf, untouched, wayBack } from "./reactions.ts";
import type { Scenario, Trial } from "./scenario.ts";
import type { ProofSettings } from "./settings.ts";
import type { Stand } from "./test-bench.ts";

const ARMING_US = 400_000;

/** A fault that strikes at arming. */
export interface ArmingFault {
  readonly row: string;
  readonly fault: string;
  /** Before the arm switch goes on. */
  readonly apply: (stand: Stand) => void;
  /** After it has gone on. */
  readonly during?: (stand: Stand) => void;
  readonly undo: (stand: Stand) => void;
  readonly fits?: (settings: ProofSettings) => boolean;
  /** The fault itself holds the contact closed. */
  readonly relayStaysClosed?: true;
}

async function armingTrial(stand: Stand, fault: ArmingFault): Promise<Trial> {
  const row = rowOf(fault.row);
  const fromNs = stand.rest();
  fault.apply(stand);
  stand.cycleArm();
  fault.during?.(stand);
  stand.board.runFor(ARMING_US);
  const live = await stand.teller.status();
  const problems = faultProblems(stand, row, live, stand.nowNs, 0, []);
  const wrong = fault.relayStaysClosed ? problems.filter((p) => !p.includes("relay")) : problems;
  if (stand.anyHighSince(fromNs)) wrong.push("something flowed");
  fault.undo(stand);
  return { wrong: [...wrong, ...wayBack(stand, row), ...(await untouched(stand))] };
}

/** A fault at arming as a scenario. */
export function whileArming(fault: ArmingFault): Scenario {
  const { row, fits } = fault;
  return {
    row,
    fault: fault.fault,
    trials: 1,
    ...(fits ? { fits } : {}),
    run: (stand) => armingTrial(stand, fault),
  };
}
