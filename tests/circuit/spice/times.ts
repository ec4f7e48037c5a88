// Everything that is solved in time: the driver with its coil over frequencies and coils, and single faults of driver and way 2.
import type { Values } from "#shared-schema/circuit/graph.ts";
import type { Circuit } from "#shared-schema/circuit/part.ts";
import { type CircuitFault, faultsOf } from "../faults.ts";
import type { Deck } from "./deck.ts";
import { DRIVER_REFS, type Drive, type DriverTimes, driverDeck, driverTimes } from "./driver.ts";
import { PROFILES, type Profile, PUMP_REFS, type PumpTimes, pumpDeck, pumpTimes } from "./pump.ts";

export const FREQUENCIES_HZ = [8, 20, 40] as const;
/** A coil of the example, one of low resistance, one of high; ohm and henry, the last pair [assumed]. */
const coils = (values: Values): readonly (readonly [number, number])[] => [
  [values("coil.low-resistance"), values("coil.low-inductance")],
  [values("coil.resistance"), values("coil.inductance")],
  [6, 0.06],
];

/** One thing to solve, with a name of its own. */
export type Job =
  | { readonly name: string; readonly is: "driver"; readonly drive: Drive; readonly fault?: CircuitFault }
  | { readonly name: string; readonly is: "pump"; readonly profile: Profile; readonly fault?: CircuitFault };

/** What it came to, each number to three digits. */
export type Row = { readonly name: string } & (DriverTimes | PumpTimes);

const single = (circuit: Circuit, refs: readonly string[]): CircuitFault[] =>
  faultsOf(circuit).filter(({ name }) => refs.includes(name.split(":")[0]!));

function driverJobs(circuit: Circuit, values: Values): Job[] {
  const volts = values("coil.supply");
  const usual: Drive = {
    hz: 20,
    ohm: values("coil.resistance"),
    henry: values("coil.inductance"),
    volts,
  };
  const sound = coils(values).flatMap(([ohm, henry]) =>
    FREQUENCIES_HZ.map(
      (hz): Job => ({
        name: `driver, ${ohm} ohm, ${henry * 1000} mH, ${hz} Hz`,
        is: "driver",
        drive: { hz, ohm, henry, volts },
      }),
    ),
  );
  const faulty = single(circuit, DRIVER_REFS).map(
    (fault): Job => ({ name: `driver, ${fault.name}`, is: "driver", drive: usual, fault }),
  );
  return [...sound, ...faulty];
}

function pumpJobs(circuit: Circuit): Job[] {
  const cases = [undefined, ...single(circuit, PUMP_REFS)];
  return cases.flatMap((fault) =>
    PROFILES.map(
      (profile): Job => ({
        name: `way 2, ${fault?.name ?? "whole"}, ${profile}`,
        is: "pump",
        profile,
        ...(fault ? { fault } : {}),
      }),
    ),
  );
}

/** All of them, in a fixed order. */
export const jobsOf = (circuit: Circuit, values: Values): Job[] => [
  ...driverJobs(circuit, values),
  ...pumpJobs(circuit),
];

/** The deck of a job. */
export const deckOfJob = (circuit: Circuit, job: Job, values: Values): Deck =>
  job.is === "driver"
    ? driverDeck(circuit, job.drive, values, job.fault)
    : pumpDeck(circuit, job.profile, values, job.fault);

/** Three digits are more than the models are worth. */
const rounded = (row: object): object =>
  Object.fromEntries(
    Object.entries(row)
      .filter(([, value]) => value !== undefined)
      .map(([key, value]) => [key, typeof value === "number" ? Number(value.toPrecision(3)) : value]),
  );

export async function solveJob(circuit: Circuit, job: Job, values: Values): Promise<Row> {
  const times =
    job.is === "driver"
      ? await driverTimes(circuit, job.drive, values, job.fault)
      : await pumpTimes(circuit, job.profile, values, job.fault);
  return { name: job.name, ...rounded(times) } as Row;
}
