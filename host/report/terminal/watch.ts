// What a controller does at this moment, in words: mode, why nothing flows, what tripped, inputs with units, outputs.
import { numberOf, type Values } from "#host/link/payload.ts";
import { OUTPUT_BITS, SWITCH_BITS } from "#shared-schema/model/blocks.ts";
import { hintedId, INTERLOCKS, interlocksIn, MODES } from "#shared-schema/model/interlocks.ts";
import { liveRows } from "./status.ts";
import { NO_TRIP, tripValueText } from "./trip-text.ts";
import { labelled } from "./wrap.ts";

/** One interlock as it is reported: ID, cause and remedy. */
export interface Reported {
  readonly id: string;
  readonly cause: string;
  readonly remedy: string;
  readonly hint?: string;
}

/** The moment as data: numbers of the link turned into names. */
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

function namesOf(bits: number, table: Readonly<Record<string, number>>): string[] {
  return Object.entries(table)
    .filter(([, bit]) => (bits >>> bit) & 1)
    .map(([name]) => name);
}

/** A status answer in names. */
export function momentOf(live: Values): Moment {
  const trip = numberOf(live, "trip");
  const row = trip === NO_TRIP ? undefined : INTERLOCKS[trip];
  const value = numberOf(live, "tripValue");
  const reasons = numberOf(live, "reasons");
  return {
    mode: MODES[numberOf(live, "mode")] ?? "unknown",
    reasons: interlocksIn(reasons).map(reported),
    ...(row ? { trip: { ...reported(row), value, valueText: tripValueText(trip, value) } } : {}),
    flowing: [0, 1, 2, 3].filter((s) => (numberOf(live, "flowing") >> s) & 1).map((s) => s + 1),
    switches: namesOf(numberOf(live, "switches"), SWITCH_BITS),
    outputs: namesOf(numberOf(live, "flags"), OUTPUT_BITS),
    values: live,
  };
}

function flowText({ flowing }: Moment): string {
  return flowing.length === 0 ? "nothing flows" : `flowing: stage ${flowing.join(", ")}`;
}

function tripText({ trip }: Moment): string {
  if (!trip) return "none";
  return `${trip.id}${trip.valueText ? ` (${trip.valueText})` : ""}: ${trip.cause}`;
}

/** Rows that the words above the table already tell. */
const IN_WORDS = ["mode", "reasons", "trip", "trip value", "flowing"];

/** A whole screen: words first, then every value. Lines fit the width. */
export function watchScreen(moment: Moment, width: number): string[] {
  const rows = liveRows(moment.values).filter(([name]) => !IN_WORDS.includes(name ?? ""));
  const longest = Math.max(...rows.map(([name = ""]) => name.length));
  const say = (label: string, text: string): string[] => labelled(label.padEnd(longest), text, width);
  const remedy = moment.trip ? say("do", moment.trip.remedy) : [];
  const why = moment.reasons.flatMap(({ id, cause }) => say("held off by", `${id}: ${cause}`));
  return [
    ...say("mode", `${moment.mode}, ${flowText(moment)}`),
    ...say("tripped by", tripText(moment)),
    ...remedy,
    ...why,
    "",
    ...rows.flatMap(([name = "", value = ""]) => say(name, value)),
  ];
}

/** One line for a pipe: time, mode, flow, reasons and trip by id, the speeds. */
export function watchLine(moment: Moment, seconds: number): string {
  const { values, reasons, trip } = moment;
  const parts = [
    `${seconds.toFixed(2)} s`,
    moment.mode,
    flowText(moment),
    `held off by ${reasons.map(hintedId).join(", ") || "nothing"}`,
    ...(trip ? [`tripped by ${tripText(moment)}`] : []),
    `engine ${numberOf(values, "engineRpm")} rpm`,
    `battery ${numberOf(values, "batteryMv") / 1000} V`,
  ];
  return parts.join("; ");
}
