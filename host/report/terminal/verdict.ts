// The verdict on a moment, in words: what the controller does, what tripped at which value, what to do; then why nothing flows.
import { hintedId } from "#shared-schema/model/interlocks.ts";
import type { Section } from "./fold.ts";
import type { Moment, Reported } from "./moment.ts";
import { tripWithValue } from "./trip-text.ts";
import { labelled, wrap } from "./wrap.ts";

const STOPPED: Readonly<Record<string, { readonly head: string; readonly after: string }>> = {
  tripped: { head: "TRIPPED", after: "then switch the arm switch off and on" },
  locked: { head: "LOCKED", after: "it stays locked until power is removed" },
};

/** What flows. */
export function flowText({ flowing }: Moment): string {
  return flowing.length === 0 ? "nothing flows" : `flowing: stage ${flowing.join(", ")}`;
}

/** What tripped at which value, and its cause. */
export function tripText({ trip }: Moment): string {
  if (!trip) return "none";
  return `${tripWithValue(trip.id, trip.valueText)}: ${trip.cause}`;
}

/** The verdict in one sentence. */
export function headline(moment: Moment): string {
  const stopped = STOPPED[moment.mode];
  if (stopped && moment.trip) return `${stopped.head} by ${tripText(moment)}`;
  const mode = moment.mode.toUpperCase();
  if (moment.flowing.length > 0) return `${mode}: stage ${moment.flowing.join(", ")}`;
  const free = moment.mode === "armed" && moment.reasons.length === 0;
  return `${mode}: nothing flows${free ? "; no interlock holds it off, the windows and ramps of the stages decide" : ""}`;
}

/** What to do after a trip or a lockout; nothing in any other mode. */
export function remedy({ mode, trip }: Moment): string | undefined {
  const stopped = STOPPED[mode];
  return stopped && trip ? `${trip.remedy}; ${stopped.after}` : undefined;
}

/** The verdict. */
export function verdictSection(moment: Moment, width: number): Section {
  const head = wrap(headline(moment), width, 2);
  const todo = remedy(moment);
  return { name: "verdict", forms: todo ? [[...head, ...labelled("do:", todo, width)], head] : [head] };
}

/** One reason on the screen. */
interface Row {
  readonly label: string;
  readonly row: Reported;
}

/** Widest label that the others are aligned to. */
const LABEL = 20;

/**
 * Reasons that the verdict has not told. A controller that is not armed always names ARM: after a trip with the switch on,
 * "switch it on" would be the opposite of what ends it.
 */
export function reasonsLeft({ mode, reasons, trip, switches }: Moment): readonly Reported[] {
  if (STOPPED[mode] === undefined) return reasons;
  return reasons.filter(({ id }) => id !== trip?.id && !(id === "ARM" && switches.includes("arm")));
}

/** Those, and a trip that is over. */
function rowsOf(moment: Moment): Row[] {
  const { mode, trip } = moment;
  const stopped = STOPPED[mode] !== undefined;
  const others = reasonsLeft(moment);
  const last = trip && !stopped ? [{ label: `last trip ${trip.id}`, row: trip }] : [];
  return [...others.map((row) => ({ label: hintedId(row), row })), ...last];
}

/** So many rows with their remedies, so many more with their causes, the others by name. */
function rowLines(rows: readonly Row[], remedies: number, causes: number, width: number): string[] {
  const room = Math.min(LABEL, Math.max(...rows.map(({ label }) => label.length)));
  const told = rows.slice(0, causes).flatMap(({ label, row }, n) => {
    const text = n < remedies ? `${row.cause}; do: ${row.remedy}` : row.cause;
    return labelled(label.padEnd(room), text, width);
  });
  const names = rows.slice(causes).map(({ label }) => label);
  if (names.length === 0) return told;
  return [...told, ...labelled(causes > 0 ? "and by" : "held off by", names.join(", "), width)];
}

/** Why nothing flows: first remedies give way, the last one first, then causes, and what stays are the names. */
export function reasonSection(moment: Moment, width: number): Section {
  const rows = rowsOf(moment);
  if (rows.length === 0) return { name: "reasons", forms: [[]] };
  const counts = rows.map((_, n) => rows.length - n);
  const forms = [
    ...counts.map((remedies) => rowLines(rows, remedies, rows.length, width)),
    ...counts.map((causes) => rowLines(rows, 0, causes, width)),
    rowLines(rows, 0, 0, width),
  ];
  return { name: "reasons", forms };
}
