// What a controller does at this moment, for a screen or in one line: the verdict first, then why, then what is fitted.
import { hintedId } from "#shared-schema/model/interlocks.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import type { Cell } from "./cells.ts";
import { fittedSections, vitalsText } from "./fitted.ts";
import { fold, type Room, type Section } from "./fold.ts";
import { type Moment, momentOf } from "./moment.ts";
import type { Paint } from "./terminal.ts";
import { flowText, headline, reasonSection, tripText, verdictSection } from "./verdict.ts";
import { wrap } from "./wrap.ts";

export { type Moment, momentOf };

/** What a screen of a moment is made from, beside the moment. */
export interface ScreenOptions {
  /** Settings in force; undefined when there are none. */
  readonly settings: Document | undefined;
  readonly room: Room;
  readonly paint: Paint;
  /** What to do first of all, beside what the moment says. */
  readonly advice?: readonly string[];
  /** Which settings are in force, in words, the fullest first. */
  readonly inForce?: readonly string[];
  /** Facts beside the live values. */
  readonly more?: readonly Cell[];
}

/** Lines that fit the room: verdict, reasons, settings in force, stages, pressures, the rest; what is least is left out first, and named. */
export function momentScreen(
  moment: Moment,
  { settings, room, paint, advice = [], inForce = [], more = [] }: ScreenOptions,
): string[] {
  const { width } = room;
  const said: Section = { name: "advice", forms: [advice] };
  const [first = "", ...others] = fold(
    [
      verdictSection(moment, width),
      said,
      reasonSection(moment, width),
      { name: "settings", forms: inForce.map((text) => wrap(text, width, 2)) },
      ...fittedSections(moment, settings, width, more),
    ],
    room,
  );
  const tone = moment.mode === "tripped" || moment.mode === "locked" ? paint.bad : paint.strong;
  return [tone(first), ...others];
}

/**
 * Verdict, reasons by name, engine, battery and settings in force. Where the line would be wider than the screen, the fuller
 * words for the settings give way, then reasons do, to a count.
 */
export function momentLine(moment: Moment, width: number, inForce: readonly string[] = []): string {
  const names = moment.reasons.map(hintedId);
  const line = (shown: number, settings: string | undefined): string => {
    const more = names.length - shown;
    const held = [...names.slice(0, shown), ...(more > 0 ? [`${more} more`] : [])].join(", ");
    return [
      headline(moment),
      ...(held ? [`held off by ${held}`] : []),
      vitalsText(moment),
      ...(settings ? [settings] : []),
    ].join("; ");
  };
  const whole = inForce.map((settings) => line(names.length, settings)).find((text) => text.length <= width);
  if (whole !== undefined) return whole;
  let shown = names.length;
  while (shown > 1 && line(shown, inForce.at(-1)).length > width) shown--;
  return line(shown, inForce.at(-1));
}

/** One line for a pipe: time, mode, flow, reasons and trip by id, the speeds. */
export function watchLine(moment: Moment, seconds: number): string {
  const { reasons, trip } = moment;
  const parts = [
    `${seconds.toFixed(2)} s`,
    moment.mode,
    flowText(moment),
    `held off by ${reasons.map(hintedId).join(", ") || "nothing"}`,
    ...(trip ? [`tripped by ${tripText(moment)}`] : []),
    vitalsText(moment),
  ];
  return parts.join("; ");
}

/** Advice as lines of a width. */
export const adviceLines = (texts: readonly string[], width: number): string[] =>
  texts.flatMap((text) => wrap(text, width, 2));
