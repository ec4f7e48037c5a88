// What the page plots: a panel for each channel that is fitted, its lines and limits; with two runs the differences too.

import { stagesOf } from "#host/bench/ramp-model.ts";
import { type AxisKind, difference, GAP_S, readAt, type Track, trackOf } from "#host/logbook/align.ts";
import { ticksIn } from "./axis.ts";
import { CHANNELS, type Channel, type Limit, limitsOf } from "./channels.ts";
import { askedShares } from "./given.ts";
import type { Reviewed } from "./reviewed.ts";

/** How a line looks; each look has a colour and a dash of its own. */
export type Look = "run" | "other" | "asked" | "difference";

/** A line through places and values in the units that are shown; null breaks it. */
export interface PanelLine {
  readonly look: Look;
  readonly label: string;
  readonly places: readonly number[];
  readonly values: readonly (number | null)[];
  /** Records before which others are lost: the line is broken there too. */
  readonly breaks: ReadonlySet<number>;
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
  readonly limits: readonly Limit[];
}

/** A run on the page's axis. */
export interface Placed {
  readonly run: Reviewed;
  readonly track: Track;
  readonly breaks: ReadonlySet<number>;
}

const Y_TICKS = 4;
/** Shares get an axis of their own: 0 to 100. */
const FULL_SHARE = 100;
/** Channels whose difference between two runs is plotted. */
const COMPARED: readonly string[] = ["roadSpeed", "engineSpeed", "share1", "bottle"];

/** Records before which there is a gap in the log. */
function breaksIn({ samples }: Track): ReadonlySet<number> {
  const gap = (i: number): boolean => i > 0 && samples[i]!.time! - samples[i - 1]!.time! > GAP_S;
  return new Set(samples.map((_, i) => i).filter(gap));
}

/** Puts a run on an axis. */
export function placed(run: Reviewed, axis: AxisKind): Placed {
  const track = trackOf(run.samples, run.origin, axis);
  return { run, track, breaks: breaksIn(track) };
}

const isFitted = ({ column }: Channel, runs: readonly Placed[]): boolean =>
  runs.some(({ track }) => track.samples.some((sample) => (sample[column] ?? 0) !== 0));

function lineOf({ track, breaks }: Placed, { column, per }: Channel, look: Look, label: string): PanelLine {
  const values = track.samples.map((sample) => (sample[column] ?? 0) * per);
  return { look, label, places: track.places, values, breaks };
}

/** The ramps' own line beside the share that the controller gave. */
function askedLine({ run, track, breaks }: Placed, { column }: Channel): PanelLine[] {
  const stage = /^share(\d)$/.exec(column)?.[1];
  if (stage === undefined || !run.settings || stagesOf(run.settings).length < Number(stage)) return [];
  const asked = askedShares(run, Number(stage) - 1);
  const skipped = run.samples.length - track.samples.length;
  const values = asked.slice(skipped).map((share) => share ?? null);
  return [{ look: "asked", label: "its ramps ask", places: track.places, values, breaks }];
}

/** Range of an axis that holds all values, ending at whole ticks. */
function rangeOf(values: readonly number[], fromZero: boolean): Pick<Panel, "min" | "max" | "ticks"> {
  let [low, high] = [Math.min(...values), Math.max(...values)];
  if (fromZero) [low, high] = [Math.min(0, low), Math.max(0, high)];
  if (high - low < 1e-9) [low, high] = [low - 1, high + 1];
  const wide = ticksIn(low - (high - low), high + (high - low), Y_TICKS * 3);
  const min = wide.findLast((tick) => tick <= low) ?? low;
  const max = wide.find((tick) => tick >= high) ?? high;
  return { min, max, ticks: ticksIn(min, max, Y_TICKS) };
}

const numbersIn = (lines: readonly PanelLine[]): number[] =>
  lines.flatMap(({ values }) => values.filter((value): value is number => value !== null));

function channelPanel(channel: Channel, runs: readonly Placed[]): Panel {
  const [one, other] = runs as readonly [Placed, Placed?];
  const lines = [
    lineOf(one, channel, "run", other ? one.run.name : "measured"),
    ...(other ? [lineOf(other, channel, "other", other.run.name)] : askedLine(one, channel)),
  ];
  const isShare = channel.column.startsWith("share");
  const named = isShare && !other ? [{ ...lines[0]!, label: "given" }, ...lines.slice(1)] : lines;
  const limits = limitsOf(channel, one.run.settings);
  const all = [...numbersIn(lines), ...limits.map(({ value }) => value), ...(isShare ? [FULL_SHARE] : [])];
  const { title, unit, digits, fromZero } = channel;
  return { title, unit, digits, lines: named, limits, ...rangeOf(all, fromZero) };
}

function differencePanel(channel: Channel, one: Placed, other: Placed): Panel[] {
  const { column, per, title, unit, digits } = channel;
  const values = difference(one.track, other.track, column).map((value) =>
    value === null ? null : value * per,
  );
  const known = values.filter((value): value is number => value !== null);
  if (known.length === 0) return [];
  const label = `${other.run.name} less ${one.run.name}`;
  const lines: PanelLine[] = [
    { look: "difference", label, places: one.track.places, values, breaks: one.breaks },
  ];
  return [
    { title: `Difference: ${title.toLowerCase()}`, unit, digits, lines, limits: [], ...rangeOf(known, true) },
  ];
}

/** By distance: how much later the other run is at each place. */
function laterPanel(one: Placed, other: Placed): Panel[] {
  const times = readAt(other.track, "time", one.track.places);
  const start = ({ run }: Placed): number => run.origin.atS;
  const values = times.map((time, i) =>
    time === null ? null : time - start(other) - (one.track.samples[i]!.time! - start(one)),
  );
  const known = values.filter((value): value is number => value !== null);
  if (known.length === 0) return [];
  const label = `${other.run.name} is later than ${one.run.name} by`;
  const lines: PanelLine[] = [
    { look: "difference", label, places: one.track.places, values, breaks: one.breaks },
  ];
  return [{ title: "Difference: time", unit: "s", digits: 2, lines, limits: [], ...rangeOf(known, true) }];
}

/** All panels of one run, or of two on one axis. */
export function panelsOf(axis: AxisKind, one: Placed, other?: Placed): Panel[] {
  const runs = other ? [one, other] : [one];
  const channels = CHANNELS.filter((channel) => isFitted(channel, runs));
  const plain = channels.map((channel) => channelPanel(channel, runs));
  if (!other) return plain;
  const compared = channels.filter(({ column }) => COMPARED.includes(column));
  const later = axis === "distance" ? laterPanel(one, other) : [];
  return [...plain, ...later, ...compared.flatMap((channel) => differencePanel(channel, one, other))];
}
