// What changed from each version of the settings to the next: data, applied by migrate.ts. What cannot be carried over safely is refused.

import type { UnitSuffix } from "#shared-schema/model/units.ts";

/** One change. `at` is the group it happens in, in file keys: empty for the top, `*` for every entry of a list. */
export type MigrationStep = { readonly at: string } & (
  | { readonly do: "rename"; readonly key: string; readonly to: string }
  | { readonly do: "add"; readonly key: string; readonly value: string; readonly why: string }
  | { readonly do: "drop"; readonly key: string; readonly why: string }
  | { readonly do: "refuse"; readonly key: string; readonly why: string }
  | RangeStep
);

/** A number that may not be set so far out any more: never moved to the new limit, refused when it lies past it. Raw counts. */
export interface RangeStep {
  readonly do: "range";
  readonly key: string;
  readonly unit: UnitSuffix;
  readonly min?: number;
  readonly max?: number;
  readonly why: string;
}

/** The steps from one version to the next. */
export interface Migration {
  readonly from: number;
  readonly steps: readonly MigrationStep[];
}

/** All migrations, oldest first. */
export const MIGRATIONS: readonly Migration[] = [
  {
    from: 1,
    steps: [
      {
        at: "engine.jump",
        do: "add",
        key: "unevenness",
        value: "2 %",
        why: "uneven pulses of a steady engine tripped; this is the strictest that there is, raise it if they still do",
      },
    ],
  },
  {
    from: 2,
    steps: [
      {
        at: "throttle.position",
        do: "range",
        key: "opens-at",
        unit: "Permille",
        max: 980,
        why: "a sensor may never quite come to its open voltage again; choose the opening at which flow may begin",
      },
      {
        at: "road",
        do: "range",
        key: "pulses",
        unit: "PerKm",
        min: 400,
        why: "pulses more than a second apart read as standing, and so few are that at 9 km/h; fit a sender with more",
      },
    ],
  },
  {
    from: 3,
    steps: [
      {
        at: "road",
        do: "add",
        key: "sender",
        value: "driveshaft",
        why: "the controller is told what the sender counts; change it if yours is at a wheel",
      },
    ],
  },
  { from: 4, steps: [] },
];
