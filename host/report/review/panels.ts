// What the page plots: a panel for each channel that is fitted, its lines and limits; with two runs the differences too.

import { stagesOf } from "#host/bench/ramp-model.ts";
import { type AxisKind, difference, GAP_S, readAt, type Track, trackOf } from "#host/logbook/align.ts";
import { type Look, type Panel, type PanelLine, panelOf } from "../chart/panel.ts";
import { CHANNELS, type Channel, limitsOf } from "./channels.ts";
import { askedShares } from "./given.ts";
import type { Reviewed } from "./reviewed.ts";

/** A run on the page's axis. */
export interface Placed {
  readonly run: Reviewed;
  readonly track: Track;
  readonly breaks: ReadonlySet<number>;
}

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
  return [{ look: "three", label: "its ramps ask", places: track.places, values, breaks }];
}

function channelPanel(channel: Channel, runs: readonly Placed[]): Panel {
  const [one, other] = runs as readonly [Placed, Placed?];
  const lines = [
    lineOf(one, channel, "one", other ? one.run.name : "measured"),
    ...(other ? [lineOf(other, channel, "two", other.run.name)] : askedLine(one, channel)),
  ];
  const isShare = channel.column.startsWith("share");
  const named = isShare && !other ? [{ ...lines[0]!, label: "given" }, ...lines.slice(1)] : lines;
  const limits = limitsOf(channel, one.run.settings);
  const { title, unit, digits, fromZero } = channel;
  const holds = isShare ? [FULL_SHARE] : [];
  return panelOf({ title, unit, digits, lines: named, limits, fromZero, holds });
}

function differencePanel(channel: Channel, one: Placed, other: Placed): Panel[] {
  const { column, per, title, unit, digits } = channel;
  const values = difference(one.track, other.track, column).map((value) =>
    value === null ? null : value * per,
  );
  if (values.every((value) => value === null)) return [];
  const label = `${other.run.name} less ${one.run.name}`;
  const lines: PanelLine[] = [{ look: "four", label, places: one.track.places, values, breaks: one.breaks }];
  return [panelOf({ title: `Difference: ${title.toLowerCase()}`, unit, digits, lines })];
}

/** By distance: how much later the other run is at each place. */
function laterPanel(one: Placed, other: Placed): Panel[] {
  const times = readAt(other.track, "time", one.track.places);
  const start = ({ run }: Placed): number => run.origin.atS;
  const values = times.map((time, i) =>
    time === null ? null : time - start(other) - (one.track.samples[i]!.time! - start(one)),
  );
  if (values.every((value) => value === null)) return [];
  const label = `${other.run.name} is later than ${one.run.name} by`;
  const lines: PanelLine[] = [{ look: "four", label, places: one.track.places, values, breaks: one.breaks }];
  return [panelOf({ title: "Difference: time", unit: "s", digits: 2, lines })];
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
