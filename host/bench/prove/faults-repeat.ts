// Faults that come and go, as a loose wire does: each time too short to trip by itself, together enough; and hold-offs that must not hunt.
import type { Document } from "#shared-schema/settings/pack.ts";
import { faultProblems, rowOf, untouched, wayBack } from "./reactions.ts";
import { NotShown, phaseUs, type Scenario, type Trial } from "./scenario.ts";
import type { ProofSettings } from "./settings.ts";
import type { TestBench } from "./test-bench.ts";

const MS = 1000;
const BAD_PART = 0.6;
const MOST_ROUNDS = 12;
const LONGEST_US = 3_000 * MS;
const DIPS = 3;
const DIP_US = 5 * MS;
const LEAST_OFF_US = 240 * MS;
const AGAIN_US = 1_500 * MS;
const PAST = 60;
/** Longer than a difference is waited for. */
const DROP_US = 60 * MS;
const DROP_MV = 3_000;
const RELAY_OPENS_US = 15 * MS;

type Act = (bench: TestBench) => void;

/** A fault that comes and goes. */
export interface Flicker {
  readonly row: string;
  readonly fault: string;
  readonly fits?: (settings: ProofSettings) => boolean;
  readonly change?: (document: Document) => Document;
  /** Can it show where this bench flows? Always when left out. */
  readonly shows?: (bench: TestBench) => boolean;
  readonly bad: Act;
  readonly good: Act;
  /** For how long it shows each time, and is gone, us. */
  readonly times: (settings: ProofSettings) => readonly [badUs: number, goodUs: number];
}

/** Six tenths of what trips by itself, and four tenths without. */
const parts = (tripsUs: number): [number, number] => [BAD_PART * tripsUs, (1 - BAD_PART) * tripsUs];

async function afterwards(bench: TestBench, row: string, causeNs: number): Promise<string[]> {
  bench.board.runFor(RELAY_OPENS_US);
  const reaction = rowOf(row).reaction === "lockout" ? "lockout" : "trip";
  const trips = { ...rowOf(row), reaction } as const;
  const us = (bench.nowNs - causeNs) / 1000;
  const wrong = faultProblems(bench, trips, await bench.client.status(), causeNs, us, []);
  bench.stimulus.good();
  return [...wrong, ...wayBack(bench, trips), ...(await untouched(bench))];
}

async function flickers(bench: TestBench, fault: Flicker, trial: number): Promise<Trial> {
  if (!bench.freshFlow()) return { wrong: ["it did not come to full flow"] };
  if (fault.shows?.(bench) === false) throw new NotShown();
  bench.board.runFor(phaseUs(trial));
  const causeNs = bench.nowNs;
  const [badUs, goodUs] = fault.times(bench.settings);
  const endNs = causeNs + 1000 * Math.max(LONGEST_US, MOST_ROUNDS * (badUs + goodUs));
  while (!bench.stopped && bench.nowNs < endNs) {
    fault.bad(bench);
    bench.board.runFor(badUs);
    fault.good(bench);
    bench.board.runFor(goodUs);
  }
  return { wrong: await afterwards(bench, fault.row, causeNs) };
}

/** It must end in the row's trip or lockout, however short each time is. */
export function flicker(fault: Flicker): Scenario {
  const { row, fits, change } = fault;
  const run = (bench: TestBench, trial: number): Promise<Trial> => flickers(bench, fault, trial);
  return {
    row,
    fault: fault.fault,
    trials: 1,
    ...(fits ? { fits } : {}),
    ...(change ? { change } : {}),
    run,
  };
}

/** What dips, and for how long each time, us. */
interface Dip {
  readonly row: string;
  readonly dip: Act;
  readonly dipUs?: number;
}

/** A short dip stops the flow for a least time; the third within seconds trips. */
async function dips(bench: TestBench, { row, dip, dipUs = DIP_US }: Dip, trial: number): Promise<Trial> {
  if (!bench.freshFlow()) return { wrong: ["it did not come to full flow"] };
  bench.board.runFor(phaseUs(trial));
  const wrong: string[] = [];
  let causeNs = bench.nowNs;
  for (let i = 1; i <= DIPS; i++) {
    causeNs = bench.nowNs;
    dip(bench);
    bench.board.runFor(dipUs);
    bench.board.harness.relayDropMv = 0;
    bench.stimulus.good();
    if (i === DIPS) break;
    if (!bench.staysOff(LEAST_OFF_US)) wrong.push("it hunts");
    const again = bench.board.runUntil(() => bench.anyHighSince(bench.nowNs - MS), AGAIN_US, MS);
    if (!again) wrong.push("one dip was enough to stop it for good");
    bench.board.runFor(DIP_US);
  }
  return { wrong: [...wrong, ...(await afterwards(bench, row, causeNs))] };
}

function repeated(row: string, fault: string, dip: Act, dipUs?: number): Scenario {
  return {
    row,
    fault,
    trials: 1,
    run: (bench, trial) => dips(bench, { row, dip, ...(dipUs && { dipUs }) }, trial),
  };
}

/** All of them. */
export const REPEATED_FAULTS: readonly Scenario[] = [
  flicker({
    row: "LEAN",
    fault: "mixture leaner than its limit for more than half of the time",
    bad: (bench) => bench.stimulus.sensor("lambda", bench.settings.lambda!.leanestMilliLambda! + PAST),
    good: (bench) => bench.stimulus.goodSensors(),
    times: ({ lambda }) => parts(lambda!.withinMs! * MS),
  }),
  flicker({
    row: "ENRICH",
    fault: "enrichment confirmed for less than half of the time",
    bad: ({ board }) => board.harness.setSlowSwitch("enrich", false),
    good: ({ board }) => board.harness.setSlowSwitch("enrich", true),
    times: ({ stages }) =>
      parts(Math.min(...stages.flatMap(({ enrichment }) => enrichment?.withinMs ?? [])) * MS),
  }),
  flicker({
    row: "TPS-SW",
    fault: "throttle switch chatters while the position sensor is wide open",
    fits: ({ throttle }) => throttle.switch === "yes" && throttle.position !== undefined,
    bad: ({ board }) => board.harness.setSwitch("throttle", false),
    good: ({ board }) => board.harness.setSwitch("throttle", true),
    times: () => parts(100 * MS),
  }),
  repeated("BATT-LOW", "battery voltage dips again and again", ({ board, settings }) => {
    board.harness.batteryMv = settings.battery.lowestMv - 300;
  }),
  repeated("FUEL-LOW", "fuel pressure dips again and again, each time too shortly to trip", (bench) =>
    bench.stimulus.sensor("fuel", bench.settings.fuel!.lowestDeciKpaGauge! * 0.7),
  ),
  repeated(
    "BOTTLE-LOW",
    "bottle pressure sags with the flow again and again, as an empty bottle's does",
    (bench) => bench.stimulus.sensor("bottle", bench.settings.bottle!.lowestKpaGauge! - PAST),
  ),
  repeated(
    "SUPPLY",
    "supply behind the relay drops by 3 V for 60 ms, again and again",
    ({ board }) => {
      board.harness.relayDropMv = DROP_MV;
    },
    DROP_US,
  ),
];
