// What changed from each version of the settings to the next: data, applied by migrate.ts. No step lets more flow than the file did.

/** One change. `at` is the group it happens in, in file keys: empty for the top, `*` for every entry of a list. */
export type MigrationStep = { readonly at: string } & (
  | { readonly do: "rename"; readonly key: string; readonly to: string }
  | { readonly do: "add"; readonly key: string; readonly value: string; readonly why: string }
  | { readonly do: "drop"; readonly key: string; readonly why: string }
  | { readonly do: "refuse"; readonly key: string; readonly why: string }
);

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
];
