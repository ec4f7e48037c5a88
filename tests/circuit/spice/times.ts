// Everything that is solved in time: drivers over frequencies and coils, single faults of driver and way 2, and a dead processor.
import type { Values } from "#shared-schema/circuit/graph.ts";
import type { Circuit } from "#shared-schema/circuit/part.ts";
import { type CircuitFault, faultsOf } from "../faults.ts";
import { DEAD_REFS, DEAD_WIRES, DEATHS, type DeadTimes, deadDecks, deadTimes } from "./dead.ts";
import type { Deck } from "./deck.ts";
import { DRIVER_REFS, type Drive, type DriverTimes, driverDeck, driverTimes } from "./driver.ts";
import { extremesOf } from "./extreme-cases.ts";
import { type ExtremeTimes, extremeDeck, extremeTimes } from "./extremes.ts";
import {
  FILTERS,
  type FilterTimes,
  filterDeck,
  filterTimes,
  type OvervoltageTimes,
  overvoltageDeck,
  overvoltages,
  overvoltageTimes,
} from "./inputs.ts";
import { KICK_FAULTS, KICKS, type KickTimes, kickDeck, kickTimes } from "./kick.ts";
import { PROFILES, PUMP_REFS, type PumpTimes, pumpDeck, pumpTimes } from "./pump.ts";

export const FREQUENCIES_HZ = [8, 20, 40] as const;
/** A coil of the example, one of low resistance, one of high; ohm and henry, the last pair [assumed]. */
const coils = (values: Values): readonly (readonly [number, number])[] => [
  [values("coil.low-resistance"), values("coil.low-inductance")],
  [values("coil.resistance"), values("coil.inductance")],
  [6, 0.06],
];

export type Outcome =
  | DriverTimes
  | PumpTimes
  | DeadTimes
  | ExtremeTimes
  | OvervoltageTimes
  | FilterTimes
  | KickTimes;

/** One thing to solve, with a name of its own: the decks that it takes, and what they come to. */
export interface Job {
  readonly name: string;
  readonly decks: (values: Values) => readonly Deck[];
  readonly solve: (values: Values) => Promise<Outcome>;
}

/** What it came to, each number to three digits. */
export type Row = { readonly name: string } & Outcome;

const single = (circuit: Circuit, refs: readonly string[]): CircuitFault[] =>
  faultsOf(circuit).filter(({ name }) => refs.includes(name.split(":")[0]!));

function driverJob(circuit: Circuit, name: string, drive: Drive, fault?: CircuitFault): Job {
  return {
    name: `driver, ${name}`,
    decks: (values) => [driverDeck(circuit, drive, values, fault)],
    solve: (values) => driverTimes(circuit, drive, values, fault),
  };
}

function driverJobs(circuit: Circuit, values: Values): Job[] {
  const volts = values("coil.supply");
  const usual: Drive = {
    hz: 20,
    ohm: values("coil.resistance"),
    henry: values("coil.inductance"),
    volts,
  };
  const sound = coils(values).flatMap(([ohm, henry]) =>
    FREQUENCIES_HZ.map((hz) =>
      driverJob(circuit, `${ohm} ohm, ${henry * 1000} mH, ${hz} Hz`, { hz, ohm, henry, volts }),
    ),
  );
  const faulty = single(circuit, DRIVER_REFS).map((fault) => driverJob(circuit, fault.name, usual, fault));
  return [...sound, ...faulty];
}

function pumpJobs(circuit: Circuit): Job[] {
  const cases = [undefined, ...single(circuit, PUMP_REFS)];
  return cases.flatMap((fault) =>
    PROFILES.map((profile) => ({
      name: `way 2, ${fault?.name ?? "whole"}, ${profile}`,
      decks: (values) => [pumpDeck(circuit, profile, values, fault)],
      solve: (values) => pumpTimes(circuit, profile, values, fault),
    })),
  );
}

/** With a stopped clock nothing but the relay is left, so battery on a coil's wire is no single fault any more. */
function deadJobs(circuit: Circuit): Job[] {
  const parts = single(circuit, [...DEAD_REFS, ...PUMP_REFS]);
  const wires = single(circuit, DEAD_WIRES).filter(({ join }) => join);
  return DEATHS.flatMap((death) =>
    [undefined, ...parts, ...(death === "hangs" ? wires : [])].map((fault) => ({
      name: `processor ${death}, ${fault?.name ?? "whole"}`,
      decks: (values) => deadDecks(circuit, death, values, fault),
      solve: (values) => deadTimes(circuit, death, values, fault),
    })),
  );
}

const extremeJobs = (circuit: Circuit, all: Values): Job[] =>
  extremesOf(all).map((extreme) => ({
    name: `extreme, ${extreme.name}`,
    decks: (values) => [extremeDeck(circuit, extreme, values)],
    solve: (values) => extremeTimes(circuit, extreme, values),
  }));

const inputJobs = (circuit: Circuit, all: Values): Job[] => [
  ...overvoltages(all).map((one) => ({
    name: `input, ${one.name}`,
    decks: (values: Values) => [overvoltageDeck(circuit, one, values)],
    solve: (values: Values) => overvoltageTimes(circuit, one, values),
  })),
  ...FILTERS.map((one) => ({
    name: `filter, ${one.name}`,
    decks: (values: Values) => [filterDeck(circuit, one, values)],
    solve: (values: Values) => filterTimes(circuit, one, values),
  })),
];

const kickJobs = (circuit: Circuit): Job[] =>
  [
    undefined,
    ...single(circuit, DRIVER_REFS).filter(({ name }) => KICK_FAULTS.includes(name as never)),
  ].flatMap((fault) =>
    KICKS.map((kick) => ({
      name: `kick, ${fault?.name ?? "whole"}, ${kick.onS * 1000} ms at ${kick.volts} V`,
      decks: (values) => [kickDeck(circuit, kick, values, fault)],
      solve: (values) => kickTimes(circuit, kick, values, fault),
    })),
  );

/** All of them, in a fixed order. */
export const jobsOf = (circuit: Circuit, values: Values): Job[] => [
  ...driverJobs(circuit, values),
  ...pumpJobs(circuit),
  ...deadJobs(circuit),
  ...extremeJobs(circuit, values),
  ...inputJobs(circuit, values),
  ...kickJobs(circuit),
];

/** Three digits are more than the models are worth. */
const rounded = (row: object): object =>
  Object.fromEntries(
    Object.entries(row)
      .filter(([, value]) => value !== undefined)
      .map(([key, value]) => [key, typeof value === "number" ? Number(value.toPrecision(3)) : value]),
  );

export async function solveJob({ name, solve }: Job, values: Values): Promise<Row> {
  return { name, ...rounded(await solve(values)) } as Row;
}
