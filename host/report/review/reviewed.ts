// A run as a review looks at it: its records, whose they are, and what they count from.
import type { CarData } from "#host/car/car.ts";
import type { SupplyData } from "#host/car/supply-data.ts";
import type { Origin } from "#host/logbook/origin.ts";
import type { Facts } from "#host/logbook/run-file/facts.ts";
import type { LogSample } from "#host/logbook/sample.ts";
import type { Document } from "#shared-schema/settings/pack.ts";

/** The run's car as its file and its plan have it. */
export interface ReviewedCar {
  readonly name: string;
  readonly data: CarData;
  readonly supply: SupplyData;
  /** Nitrous that the plan uses in a run, kg. */
  readonly plannedKg: number;
}

/** One run. */
export interface Reviewed {
  /** Its file, or where it was pulled from. */
  readonly name: string;
  readonly run: number;
  readonly samples: readonly LogSample[];
  readonly origin: Origin;
  /** Undefined when they are not in the file, or of another version of the tool. */
  readonly settings: Document | undefined;
  readonly settingsCrc: number | undefined;
  readonly facts: Facts | undefined;
  readonly note: string | undefined;
  /** Undefined without a car file, or when it has no plan. */
  readonly car: ReviewedCar | undefined;
  /** What is not there, a sentence each. */
  readonly lacks: readonly string[];
}

/** A time of the log by the run's own origin, s. */
export const since = ({ origin }: Reviewed, s: number): number => Number((s - origin.atS).toFixed(3));
