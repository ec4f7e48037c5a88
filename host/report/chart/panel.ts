// One plot of a chart: lines that share its value axis, limits across it, and notes on what shows in it.
import { ticksIn } from "./axis.ts";

/** How a line looks; each look has a colour and a dash of its own, the same on every page. */
export type Look = "one" | "two" | "three" | "four" | "five";

/** A line through places and values in the units that are shown; null breaks it. */
export interface PanelLine {
  readonly look: Look;
  readonly label: string;
  readonly places: readonly number[];
  readonly values: readonly (number | null)[];
  /** Points before which the line is broken too. */
  readonly breaks?: ReadonlySet<number>;
}

/** A value that is drawn right across. */
export interface PanelLimit {
  readonly words: string;
  readonly value: number;
}

/** A stretch of the axis, in its unit; `words` stand in it where there is room. */
export interface Stretch {
  readonly from: number;
  readonly to: number;
  readonly words: string;
}

/** One plot. */
export interface Panel {
  readonly title: string;
  readonly unit: string;
  readonly digits: number;
  readonly min: number;
  readonly max: number;
  readonly ticks: readonly number[];
  readonly lines: readonly PanelLine[];
  readonly limits: readonly PanelLimit[];
  /** What shows in this plot and needs a word: sentences under it, and where. */
  readonly notes?: readonly string[];
  readonly stretches?: readonly Stretch[];
}

const Y_TICKS = 4;

/** Range of an axis that holds all values, ending at whole ticks. */
export function rangeOf(values: readonly number[], fromZero: boolean): Pick<Panel, "min" | "max" | "ticks"> {
  let [low, high] = [Math.min(...values), Math.max(...values)];
  if (fromZero) [low, high] = [Math.min(0, low), Math.max(0, high)];
  if (!(high - low >= 1e-9)) [low, high] = Number.isFinite(low) ? [low - 1, high + 1] : [0, 1];
  const wide = ticksIn(low - (high - low), high + (high - low), Y_TICKS * 3);
  const min = wide.findLast((tick) => tick <= low) ?? low;
  const max = wide.find((tick) => tick >= high) ?? high;
  return { min, max, ticks: ticksIn(min, max, Y_TICKS) };
}

export const numbersIn = (lines: readonly PanelLine[]): number[] =>
  lines.flatMap(({ values }) => values.filter((value): value is number => value !== null));

/** What a panel is made from; its range holds lines, limits and `holds`. */
export interface PanelFacts extends Omit<Panel, "min" | "max" | "ticks" | "limits"> {
  readonly limits?: readonly PanelLimit[];
  /** False: the axis fits the values and need not begin at zero. */
  readonly fromZero?: boolean;
  /** Values that the axis holds in any case. */
  readonly holds?: readonly number[];
}

/** A panel whose axis holds all of it. */
export function panelOf({ fromZero = true, holds = [], limits = [], ...facts }: PanelFacts): Panel {
  const all = [...numbersIn(facts.lines), ...limits.map(({ value }) => value), ...holds];
  return { ...facts, limits, ...rangeOf(all, fromZero) };
}

/** A value that stays until the next point, as a line: each point but the last is held to the next one's place. */
export function heldLine(line: PanelLine): PanelLine {
  const places = line.places.flatMap((place, i) => [place, line.places[i + 1] ?? place]);
  const values = line.values.flatMap((value) => [value, value]);
  return { ...line, places, values };
}
