// What a controller does at one moment, as data: the numbers of the link turned into names, causes and remedies.
import { numberOf, type Values } from "#host/link/payload.ts";
import { OUTPUT_BITS, SWITCH_BITS } from "#shared-schema/model/blocks.ts";
import { INTERLOCKS, type Interlock, interlocksIn, MODES } from "#shared-schema/model/interlocks.ts";
import { NO_TRIP, tripValueText } from "./trip-text.ts";

/** One interlock as it is reported: ID, cause and remedy. */
export interface Reported {
  readonly id: string;
  readonly cause: string;
  readonly remedy: string;
  readonly hint?: string;
}

/** The moment as data. */
export interface Moment {
  readonly mode: string;
  readonly reasons: readonly Reported[];
  readonly trip?: Reported & { readonly value: number; readonly valueText: string };
  readonly flowing: readonly number[];
  readonly switches: readonly string[];
  readonly outputs: readonly string[];
  readonly values: Values;
}

const reported = ({ id, cause, remedy, hint }: Reported): Reported => ({
  id,
  cause,
  remedy,
  ...(hint ? { hint } : {}),
});

/** A row that holds flow off; what it says of flow is only said when it tripped. */
const asReason = (row: Interlock, trip: Interlock | undefined): Reported =>
  reported(row === trip ? row : { ...row, ...row.beforeFlow });

/** Names of the bits that are set, by a table of bit numbers. */
export function namesOf(bits: number, table: Readonly<Record<string, number>>): string[] {
  return Object.entries(table)
    .filter(([, bit]) => (bits >>> bit) & 1)
    .map(([name]) => name);
}

/** A status answer in names. */
export function momentOf(live: Values): Moment {
  const trip = numberOf(live, "trip");
  const row = trip === NO_TRIP ? undefined : INTERLOCKS[trip];
  const value = numberOf(live, "tripValue");
  return {
    mode: MODES[numberOf(live, "mode")] ?? "unknown",
    reasons: interlocksIn(numberOf(live, "reasons")).map((reason) => asReason(reason, row)),
    ...(row ? { trip: { ...reported(row), value, valueText: tripValueText(trip, value) } } : {}),
    flowing: [0, 1, 2, 3].filter((s) => (numberOf(live, "flowing") >> s) & 1).map((s) => s + 1),
    switches: namesOf(numberOf(live, "switches"), SWITCH_BITS),
    outputs: namesOf(numberOf(live, "flags"), OUTPUT_BITS),
    values: live,
  };
}
