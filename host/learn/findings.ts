// What learning comes to: for each quantity a value with its uncertainty and evidence, or why the runs cannot tell it and which run would.

/** What can be learnt. */
export type Quantity = "grip" | "engine" | "nitrous" | "flow";

/** What one run says of a quantity: its factor on what the car file says, and from what. Times in seconds of the run's log. */
export interface RunValue {
  readonly run: string;
  readonly key: string;
  readonly factor: number;
  /** Relative, about two standard deviations. */
  readonly uncertainty: number;
  /** Records that took part, and the first and the last second of them. */
  readonly moments: number;
  readonly fromS: number;
  readonly toS: number;
}

/** A quantity that the runs tell. */
export interface Told {
  readonly quantity: Quantity;
  readonly told: true;
  readonly factor: number;
  readonly uncertainty: number;
  /** The true value may be higher, no run shows by how much. */
  readonly isLeast: boolean;
  /** At least two runs say the same within their uncertainty. */
  readonly agree: boolean;
  readonly runs: readonly RunValue[];
}

/** A quantity that the runs do not tell. */
export interface Untold {
  readonly quantity: Quantity;
  readonly told: false;
  readonly why: string;
  /** Which run to make, or what to do. */
  readonly todo: string;
}

export type Finding = Told | Untold;

/** Runs that differ by more than this do not agree, whatever their uncertainty. */
const MOST_APART = 0.05;

/** Whether two of the values lie within the uncertainty of both. */
export const agreeing = (runs: readonly RunValue[]): boolean =>
  runs.some((one, i) =>
    runs.slice(i + 1).some((other) => {
      const apart = Math.abs(one.factor - other.factor);
      return other.key !== one.key && apart <= Math.min(MOST_APART, one.uncertainty + other.uncertainty);
    }),
  );

/** A finding from what each run says: the mean, weighted by certainty; no more certain than the runs are alike. */
export function meanOf(quantity: Quantity, runs: readonly RunValue[], least: number): Told {
  const weights = runs.map(({ uncertainty }) => uncertainty ** -2);
  const all = weights.reduce((sum, w) => sum + w, 0);
  const factor = runs.reduce((sum, run, i) => sum + run.factor * weights[i]!, 0) / all;
  const apart = Math.max(...runs.map((run) => Math.abs(run.factor - factor)));
  return {
    quantity,
    told: true,
    factor,
    uncertainty: Math.max(least, apart, all ** -0.5),
    isLeast: false,
    agree: agreeing(runs),
    runs,
  };
}

export const untold = (quantity: Quantity, why: string, todo: string): Untold => ({
  quantity,
  told: false,
  why,
  todo,
});

export const findingOf = (findings: readonly Finding[], quantity: Quantity): Told | undefined =>
  findings.find((finding): finding is Told => finding.told && finding.quantity === quantity);
