// Everything that is solved in time: drivers over frequencies and coils, single faults of driver and way 2, and a dead processor.
import type { Values } from "#shared-schema/circuit/graph.ts";
import type { Circuit } from "#shared-schema/circuit/part.ts";
import { type CircuitFault, faultsOf } from "../faults.ts";
import { DEAD_REFS, DEAD_WIRES, DEATHS, type DeadTimes, deadDecks, deadTimes } from "./dead.ts";
import type { Deck } from "./deck.ts";
import { DRIVER_REFS, type Drive, type DriverTimes, driverDeck, driverTimes } from "./driver.ts";
import { PROFILES, PUMP_REFS, type PumpTimes, pumpDeck, pumpTimes } from "./pump.ts";

export const FREQUENCIES_HZ = [8, 20, 40] as const;
/** A coil of the example, one of low resistance, one of high; ohm and henry, the last pair [assumed]. */
const coils = (values: Values): readonly (readonly [number, number])[] => [
  [values("coil.low-resistance"), values("coil.low-inductance")],
  [values("coil.resistance"), values("coil.inductance")],
  [6, 0.06],
];

/** One thing to solve, with a name of its own: the decks that it takes, and what they come to. */
export interface Job {
  readonly name: string;
  readonly decks: (values: Values) => readonly Deck[];
  readonly solve: (values: Values) => Promise<DriverTimes | PumpTimes | DeadTimes>;
}

/** What it came to, each number to three digits. */
export type Row = { readonly name: string } & (DriverTimes | PumpTimes | DeadTimes);

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

/** All of them, in a fixed order. */
export const jobsOf = (circuit: Circuit, values: Values): Job[] => [
  ...driverJobs(circuit, values),
  ...pumpJobs(circuit),
  ...deadJobs(circuit),
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
