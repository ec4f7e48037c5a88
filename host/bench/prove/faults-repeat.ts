// Faults that come and go, as a loose wire does: each time too short to trip by itself, together enough; and hold-offs that must not hunt.
import { faultProblems, rowOf, untouched, wayBack } from "./reactions.ts";
import { phaseUs, type Scenario, type Trial } from "./scenario.ts";
import type { ProofSettings } from "./settings.ts";
import type { TestBench } from "./test-bench.ts";

const MS = 1000;
const BAD_OF_TEN = 6;
const MOST_ROUNDS = 12;
const DIPS = 3;
const DIP_US = 5 * MS;
const LEAST_OFF_US = 240 * MS;
const AGAIN_US = 1_500 * MS;
const PAST = 60;
const RELAY_OPENS_US = 15 * MS;

type Act = (bench: TestBench) => void;

/** A fault that shows for six tenths of the time, for tenths of what trips by itself. */
interface Flicker {
  readonly row: string;
  readonly fault: string;
  readonly fits?: (settings: ProofSettings) => boolean;
  readonly bad: Act;
  readonly good: Act;
  /** For how long it trips by itself, us. */
  readonly tripsUs: (settings: ProofSettings) => number;
}

const tripped = ({ client }: TestBench): Promise<boolean> => client.status().then(({ trip }) => trip !== 255);

async function afterwards(bench: TestBench, row: string, causeNs: number): Promise<string[]> {
  bench.board.runFor(RELAY_OPENS_US);
  const trips = { ...rowOf(row), reaction: "trip" } as const;
  const us = (bench.nowNs - causeNs) / 1000;
  const wrong = faultProblems(bench, trips, await bench.client.status(), causeNs, us, []);
  bench.stimulus.good();
  return [...wrong, ...wayBack(bench, trips), ...(await untouched(bench))];
}

async function flickers(bench: TestBench, fault: Flicker, trial: number): Promise<Trial> {
  if (!bench.toFlow()) return { wrong: ["it did not come to full flow"] };
  bench.board.runFor(phaseUs(trial));
  const causeNs = bench.nowNs;
  const tenthUs = fault.tripsUs(bench.settings) / 10;
  for (let i = 0; i < 5 * MOST_ROUNDS && !(await tripped(bench)); i++) {
    fault.bad(bench);
    bench.board.runFor(BAD_OF_TEN * tenthUs);
    fault.good(bench);
    bench.board.runFor((10 - BAD_OF_TEN) * tenthUs);
  }
  return { wrong: await afterwards(bench, fault.row, causeNs) };
}

function flicker(fault: Flicker): Scenario {
  const { row, fits } = fault;
  const run = (bench: TestBench, trial: number): Promise<Trial> => flickers(bench, fault, trial);
  return { row, fault: fault.fault, trials: 1, ...(fits ? { fits } : {}), run };
}

/** A short dip stops the flow for a least time; the third within seconds trips. */
async function dips(bench: TestBench, row: string, dip: Act, trial: number): Promise<Trial> {
  if (!bench.toFlow()) return { wrong: ["it did not come to full flow"] };
  bench.board.runFor(phaseUs(trial));
  const wrong: string[] = [];
  let causeNs = bench.nowNs;
  for (let i = 1; i <= DIPS; i++) {
    causeNs = bench.nowNs;
    dip(bench);
    bench.board.runFor(DIP_US);
    bench.stimulus.good();
    if (i === DIPS) break;
    if (!bench.staysOff(LEAST_OFF_US)) wrong.push("it hunts");
    const again = bench.board.runUntil(() => bench.anyHighSince(bench.nowNs - MS), AGAIN_US, MS);
    if (!again) wrong.push("one dip was enough to stop it for good");
    bench.board.runFor(DIP_US);
  }
  return { wrong: [...wrong, ...(await afterwards(bench, row, causeNs))] };
}

function repeated(row: string, fault: string, dip: Act): Scenario {
  return { row, fault, trials: 1, run: (bench, trial) => dips(bench, row, dip, trial) };
}

/** All of them. */
export const REPEATED_FAULTS: readonly Scenario[] = [
  flicker({
    row: "LEAN",
    fault: "mixture leaner than its limit for more than half of the time",
    bad: (bench) => bench.stimulus.sensor("lambda", bench.settings.lambda!.leanestMilliLambda! + PAST),
    good: (bench) => bench.stimulus.goodSensors(),
    tripsUs: ({ lambda }) => lambda!.withinMs! * MS,
  }),
  flicker({
    row: "ENRICH",
    fault: "enrichment confirmed for less than half of the time",
    bad: ({ board }) => board.harness.setSlowSwitch("enrich", false),
    good: ({ board }) => board.harness.setSlowSwitch("enrich", true),
    tripsUs: ({ stages }) => Math.min(...stages.flatMap(({ enrichment }) => enrichment?.withinMs ?? [])) * MS,
  }),
  flicker({
    row: "TPS-SW",
    fault: "throttle switch chatters while the position sensor is wide open",
    fits: ({ throttle }) => throttle.switch === "yes" && throttle.position !== undefined,
    bad: ({ board }) => board.harness.setSwitch("throttle", false),
    good: ({ board }) => board.harness.setSwitch("throttle", true),
    tripsUs: () => 100 * MS,
  }),
  repeated("BATT-LOW", "battery voltage dips again and again", ({ board, settings }) => {
    board.harness.batteryMv = settings.battery.lowestMv - 300;
  }),
  repeated("FUEL-LOW", "fuel pressure dips again and again, each time too shortly to trip", (bench) =>
    bench.stimulus.sensor("fuel", bench.settings.fuel!.lowestDeciKpaGauge! * 0.7),
  ),
];
