// One trial of a fault that is there when the controller arms: it must lock out, nothing may ever flow, and power-off is the way back.
import { faultProblems, rowOf, untouched, wayBack } from "./reactions.ts";
import type { Scenario, Trial } from "./scenario.ts";
import type { ProofSettings } from "./settings.ts";
import type { TestBench } from "./test-bench.ts";

const ARMING_US = 400_000;

/** A fault that strikes at arming. */
export interface ArmingFault {
  readonly row: string;
  readonly fault: string;
  /** Before the arm switch goes on. */
  readonly apply: (bench: TestBench) => void;
  /** After it has gone on. */
  readonly during?: (bench: TestBench) => void;
  readonly undo: (bench: TestBench) => void;
  readonly fits?: (settings: ProofSettings) => boolean;
  /** The fault itself holds the contact closed. */
  readonly relayStaysClosed?: true;
}

async function armingTrial(bench: TestBench, fault: ArmingFault): Promise<Trial> {
  const row = rowOf(fault.row);
  const fromNs = bench.rest();
  fault.apply(bench);
  bench.cycleArm();
  fault.during?.(bench);
  bench.board.runFor(ARMING_US);
  const live = await bench.client.status();
  const problems = faultProblems(bench, row, live, bench.nowNs, 0, []);
  const wrong = fault.relayStaysClosed ? problems.filter((p) => !p.includes("relay")) : problems;
  if (bench.anyHighSince(fromNs)) wrong.push("something flowed");
  fault.undo(bench);
  return { wrong: [...wrong, ...wayBack(bench, row), ...(await untouched(bench))] };
}

/** A fault at arming as a scenario. */
export function whileArming(fault: ArmingFault): Scenario {
  const { row, fits } = fault;
  return {
    row,
    fault: fault.fault,
    trials: 1,
    ...(fits ? { fits } : {}),
    run: (bench) => armingTrial(bench, fault),
  };
}
