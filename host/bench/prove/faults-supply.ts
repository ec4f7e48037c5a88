// Faults of the supply behind the relay and of too high a voltage, and a throttle that is never seen closed.
import { whileFlowing } from "./flow-trial.ts";
import { faultProblems, reasonProblems, rowOf, untouched, wayBack } from "./reactions.ts";
import type { Scenario, Trial } from "./scenario.ts";
import type { TestBench } from "./test-bench.ts";

const DROP_MV = 3_000;
const HIGH_MV = 17_000;
const TRIPS_US = 520_000;
const WATCH_US = 900_000;
const LIFTED_US = 60_000;
const DROPPED = "supply behind the relay 3 V under the battery";

const drop = (mv: number) => (bench: TestBench) => {
  bench.board.harness.relayDropMv = mv;
};

async function dropsForGood(bench: TestBench): Promise<Trial> {
  if (!bench.freshFlow()) return { wrong: ["it did not come to full flow"] };
  const causeNs = bench.nowNs;
  drop(DROP_MV)(bench);
  bench.board.runFor(TRIPS_US);
  const trips = { ...rowOf("SUPPLY"), reaction: "trip" } as const;
  const wrong = faultProblems(bench, trips, await bench.client.status(), causeNs, TRIPS_US, []);
  drop(0)(bench);
  return { wrong: [...wrong, ...wayBack(bench, trips), ...(await untouched(bench))] };
}

/** The throttle shows wide open all the time, by every way that is fitted: held off until it was seen closed once. */
async function neverClosed(bench: TestBench): Promise<Trial> {
  const fromNs = bench.rest();
  bench.cycleArm(false);
  bench.board.runFor(WATCH_US / 2);
  bench.stimulus.launch(true);
  bench.board.runFor(WATCH_US / 2);
  const wrong = reasonProblems(bench, await bench.client.status(), "LIFT", []);
  if (bench.anyHighSince(fromNs)) wrong.push("something flowed");
  bench.stimulus.lift();
  bench.board.runFor(LIFTED_US);
  bench.stimulus.press();
  return { wrong: [...wrong, ...wayBack(bench, rowOf("LIFT")), ...(await untouched(bench))] };
}

/** All of them. */
export const SUPPLY_FAULTS: readonly Scenario[] = [
  {
    row: "LIFT",
    fault: "throttle switch welded, or the pedal held, when arming",
    trials: 2,
    run: neverClosed,
  },
  whileFlowing({ row: "SUPPLY", fault: DROPPED, apply: drop(DROP_MV), undo: drop(0) }),
  { row: "SUPPLY", fault: `${DROPPED}, for good`, trials: 1, run: dropsForGood },
  whileFlowing({
    row: "SUPPLY",
    fault: "battery above 16.5 V",
    apply: ({ board }) => {
      board.harness.batteryMv = HIGH_MV;
    },
  }),
];
