// Faults that come and go too quickly for a hand: loose plugs, drivers that skip pulses, wires and contacts that chatter.
import type { DriverFault } from "../board/outside/drivers.ts";
import type { SensorName } from "../board/outside/harness.ts";
import type { RelayFault } from "../board/outside/relay.ts";
import { type Flicker, flicker } from "./faults-repeat.ts";
import { atFullFlow, atPartOfFlow } from "./part-of-flow.ts";
import type { Scenario } from "./scenario.ts";
import type { ProofSettings } from "./settings.ts";
import { SOLENOID_PINS, type TestBench } from "./test-bench.ts";

const MS = 1000;
const DROP_MV = 3_000;

/** No times here divide those of ticks, pulses or looks: each meets all of them at other places. */
const KINDS: readonly (readonly [words: string, fault: DriverFault, badUs: number, goodUs: number])[] = [
  ["driver conducts in every second pulse only", "skips", 10 * MS, 0],
  ["driver shorts for 3 ms of every 13", "shorted", 3 * MS, 10 * MS],
  ["plug of the load chatters, 5 ms of every 11 without contact", "unplugged", 5 * MS, 6 * MS],
];
const SHARES = [
  ["in pulses", atPartOfFlow],
  ["wide open", atFullFlow],
] as const;
/** Nitrous and fuel of the first stage. */
const CHANNELS = [0, 1] as const;

const fitted =
  (channel: number) =>
  ({ stages }: ProofSettings): boolean =>
    channel === 0 || stages[0]!.fuelSolenoid !== undefined;

function set(channel: number, fault: DriverFault): (bench: TestBench) => void {
  return ({ board }) => {
    board.harness.drivers.faults[channel] = fault;
  };
}

const OF_DRIVERS = SHARES.flatMap(([share, change]) =>
  KINDS.flatMap(([words, fault, badUs, goodUs]) =>
    CHANNELS.map(
      (channel): Flicker => ({
        row: "DRIVER",
        fault: `${SOLENOID_PINS[channel]} ${words}, ${share}`,
        fits: fitted(channel),
        change,
        shows: ({ stages }) => fault !== "skips" || stages.includes(channel >> 1),
        bad: set(channel, fault),
        good: set(channel, "none"),
        times: () => [badUs, goodUs],
      }),
    ),
  ),
);

function loose(sensor: SensorName): Flicker {
  return {
    row: "SENSOR",
    fault: `${sensor} sensor: wire without contact for 3 ms of every 7`,
    fits: (s) => (sensor === "throttle" ? s.throttle.position : s[sensor]) !== undefined,
    bad: ({ board }) => board.harness.setSensorMv(sensor, 0),
    good: ({ stimulus }) => stimulus.goodSensors(),
    times: () => [3 * MS, 4 * MS],
  };
}

const OF_SUPPLY: readonly Flicker[] = [
  {
    row: "SUPPLY",
    fault: "supply behind the relay dips by 3 V, 30 ms of every 47",
    bad: ({ board }) => {
      board.harness.relayDropMv = DROP_MV;
    },
    good: ({ board }) => {
      board.harness.relayDropMv = 0;
    },
    times: () => [30 * MS, 17 * MS],
  },
];

const relay =
  (fault: RelayFault) =>
  ({ board }: TestBench): void =>
    board.harness.relay.setFault(fault);

const OF_RELAY: readonly Flicker[] = [
  {
    row: "KEEP-ALIVE",
    fault: "contact of the master relay chatters, 6 ms of every 11 open",
    bad: relay("dead"),
    good: relay("none"),
    times: () => [6 * MS, 5 * MS],
  },
  {
    row: "KEEP-ALIVE",
    fault: "wire of the keep-alive without contact for 13 ms of every 16",
    bad: relay("no-edges"),
    good: relay("none"),
    times: () => [13 * MS, 3 * MS],
  },
];

/** All of them. */
export const INTERMITTENT_FAULTS: readonly Scenario[] = [
  ...OF_DRIVERS,
  ...(["throttle", "manifold", "fuel"] as const).map(loose),
  ...OF_SUPPLY,
  ...OF_RELAY,
].map(flicker);
