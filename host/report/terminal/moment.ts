// What a controller does at one moment, as data: the numbers of the link turned into names, causes and remedies.
import { numberOf, type Values } from "#host/link/payload.ts";
import { OUTPUT_BITS, SWITCH_BITS } from "#shared-schema/model/blocks.ts";
import { INTERLOCKS, type Interlock, interlocksIn, MODES } from "#shared-schema/model/interlocks.ts";
import { ADC_A } from "#shared-schema/model/pins.ts";
import { doubtedSensors, NO_TRIP, tripValueText } from "./trip-text.ts";

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
const asReason = (row: Interlock, trip: Interlock | undefined): Interlock =>
  row === trip ? row : { ...row, ...row.beforeFlow };

/** Analog inputs whose readings are not believed: those that a SENSOR trip names, or any of them where nothing names one. */
function doubted(ids: ReadonlySet<string>, trip: string | undefined, value: number): readonly string[] {
  if (ids.has("ADC")) return ADC_A;
  if (!ids.has("SENSOR")) return [];
  const named = trip === "SENSOR" ? doubtedSensors(value) : [];
  return named.length > 0 ? named : ADC_A;
}

/** A row that judges a reading which is not believed sends to the wire, not to the bottle: a broken wire reads like no pressure. */
function unlessDoubted(row: Interlock, inputs: readonly string[]): Interlock {
  if (row.reads === undefined || !inputs.includes(row.reads)) return row;
  const cause = `${row.cause}, by a reading that may be untrue`;
  return { ...row, cause, remedy: `find the cause of SENSOR or ADC first; act on this only by a gauge` };
}

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
  const held = interlocksIn(numberOf(live, "reasons"));
  const mode = MODES[numberOf(live, "mode")] ?? "unknown";
  const stopped = row && (mode === "tripped" || mode === "locked") ? [row] : [];
  const inputs = doubted(new Set([...held, ...stopped].map(({ id }) => id)), row?.id, value);
  return {
    mode,
    reasons: held.map((reason) => reported(unlessDoubted(asReason(reason, row), inputs))),
    ...(row ? { trip: { ...reported(row), value, valueText: tripValueText(trip, value) } } : {}),
    flowing: [0, 1, 2, 3].filter((s) => (numberOf(live, "flowing") >> s) & 1).map((s) => s + 1),
    switches: namesOf(numberOf(live, "switches"), SWITCH_BITS),
    outputs: namesOf(numberOf(live, "flags"), OUTPUT_BITS),
    values: live,
  };
}
