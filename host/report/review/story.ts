// What happened in a run, in words: armed, launched, held off by what, opened, cut back, tripped at which value and limit, ended.

import { flowingSeconds } from "#host/logbook/digest.ts";
import { lockName, modeName } from "#host/logbook/record.ts";
import { type LogSample, NO_TRIP } from "#host/logbook/sample.ts";
import { modeSpans, type NumberedSpan, reasonSpans, spansOf } from "#host/logbook/spans.ts";
import { SWITCH_BITS } from "#shared-schema/model/blocks.ts";
import { INTERLOCKS, MODES } from "#shared-schema/model/interlocks.ts";
import { numberAt, shown, watchedBy, withUnit } from "./channels.ts";
import { givenLess } from "./given.ts";
import type { Reviewed } from "./reviewed.ts";

/** Kinds of moments; a page marks those that begin or end something. */
export type MomentKind = "mode" | "launch" | "opens" | "shuts" | "held" | "less" | "trip";

/** One moment, in seconds of the log; `toS` where it lasts. */
export interface Moment {
  readonly atS: number;
  readonly toS?: number;
  readonly kind: MomentKind;
  readonly words: string;
}

const FLOWING = MODES.indexOf("flowing");
const ARMED: readonly number[] = ["armed", "flowing"].map((name) => MODES.indexOf(name as never));
/** Pauses shorter than this do not end a hold-off in words. */
const JOINED_S = 0.05;

const sampleAt = (samples: readonly LogSample[], s: number): LogSample | undefined =>
  samples.find(({ time = 0 }) => time >= s);

const causeOf = (number: number): string => INTERLOCKS[number]?.cause ?? "";

/** `; bottle pressure 6005 kPa gauge, lowest 6067 kPa gauge`, where the log has the value. */
function valueWords(run: Reviewed, number: number, sample: LogSample | undefined): string {
  const watched = watchedBy(lockName(number), run.settings);
  if (!watched || !sample) return "";
  const { channel, limits } = watched;
  const value = `${channel.title.toLowerCase()} ${shown(channel, sample[channel.column] ?? 0)}`;
  return `; ${[value, ...limits.map((limit) => `${limit.words} ${withUnit(channel, limit.value)}`)].join(", ")}`;
}

/** The time limits stand in for a value: the log counts how long it flowed. */
function timeWords({ samples, settings }: Reviewed, atS: number): string {
  const flowed = flowingSeconds(samples.filter(({ time = 0 }) => time <= atS));
  const limit = numberAt(settings, ["flow", "longestRunMs"]);
  const most = limit === undefined ? "" : `, longest run ${(limit / 1000).toFixed(2)} s`;
  return `; flowed ${flowed.toFixed(2)} s${most}`;
}

/** After arming the core waits for a moment with the switch on; else the cause is that of the interlock. */
function heldCause(number: number, sample: LogSample | undefined): string {
  const isOn = (((sample?.switches ?? 0) >>> SWITCH_BITS.arm) & 1) === 1;
  return lockName(number) === "ARM" && isOn
    ? "the short wait after arming, with the arm switch on"
    : causeOf(number);
}

function heldMoment(run: Reviewed, { fromS, toS, number }: NumberedSpan, first: boolean): Moment {
  const sample = sampleAt(run.samples, fromS);
  const values = valueWords(run, number, sample);
  const cause = first ? `: ${heldCause(number, sample)}` : "";
  return { atS: fromS, toS, kind: "held", words: `held off by ${lockName(number)}${cause}${values}` };
}

/** Hold-offs while it was armed; before that everything holds off. The cause is told the first time. */
function heldMoments(run: Reviewed): Moment[] {
  const armed = run.samples.filter(({ mode = 0 }) => ARMED.includes(mode));
  const told = new Set<number>();
  return reasonSpans(armed, JOINED_S)
    .filter(({ fromS, toS }) => toS > fromS)
    .map((span) => {
      const first = !told.has(span.number);
      told.add(span.number);
      return heldMoment(run, span, first);
    });
}

function tripMoments(run: Reviewed): Moment[] {
  const { samples } = run;
  return samples.flatMap((sample, i): Moment[] => {
    const { trip = NO_TRIP, time = 0 } = sample;
    if (trip === NO_TRIP || trip === (samples[i - 1]?.trip ?? NO_TRIP)) return [];
    const value = lockName(trip) === "TIME" ? timeWords(run, time) : valueWords(run, trip, sample);
    const verb = INTERLOCKS[trip]?.reaction === "lockout" ? "locked out" : "tripped";
    return [{ atS: time, kind: "trip", words: `${verb}: ${lockName(trip)}: ${causeOf(trip)}${value}` }];
  });
}

/** What ended a flow, by the first record after it. */
function shutWords({ mode = 0, reasons = 0, trip = NO_TRIP }: LogSample): string {
  if (trip !== NO_TRIP) return `by ${lockName(trip)}`;
  if (!ARMED.includes(mode)) return "the arm switch went off";
  const held = INTERLOCKS.map((_, n) => n).filter((n) => n < 32 && (reasons >>> n) & 1);
  return held.length > 0 ? `held off by ${held.map(lockName).join(", ")}` : "its ramps ask for nothing";
}

/** What opens and shuts, by its moment and its words without the stage. */
interface Change {
  readonly atS: number;
  readonly kind: "opens" | "shuts";
  readonly why: string;
  readonly stage: number;
}

function changesOf({ samples }: Reviewed, stage: number): Change[] {
  const flows = ({ mode, [`share${stage}`]: share = 0 }: LogSample): boolean => mode === FLOWING && share > 0;
  return spansOf(samples, flows).flatMap(({ fromS, toS }): Change[] => {
    const after = sampleAt(samples, toS);
    const shut: Change[] =
      after && !flows(after) ? [{ atS: toS, kind: "shuts", why: `: ${shutWords(after)}`, stage }] : [];
    return [{ atS: fromS, kind: "opens", why: "", stage }, ...shut];
  });
}

/** Openings and shuts; stages that do the same at once are told together. */
function stageMoments(run: Reviewed): Moment[] {
  const changes = [1, 2, 3, 4].flatMap((stage) => changesOf(run, stage));
  const together = new Map<string, Change[]>();
  for (const change of changes) {
    const key = `${change.atS} ${change.kind}${change.why}`;
    together.set(key, [...(together.get(key) ?? []), change]);
  }
  return [...together.values()].map((group) => {
    const { atS, kind, why } = group[0]!;
    const stages = group.map(({ stage }) => stage).join(", ");
    const many = group.length > 1;
    const verb = kind === "opens" ? (many ? "open" : "opens") : many ? "shut" : "shuts";
    return { atS, kind, words: `stage${many ? "s" : ""} ${stages} ${verb}${why}` };
  });
}

const MODE_WORDS: Readonly<Record<string, string>> = {
  arming: "the self-test begins",
  armed: "armed",
  off: "off",
};

/** The ways between modes that are not told otherwise. */
function modeMoments({ samples }: Reviewed): Moment[] {
  return modeSpans(samples).flatMap(({ fromS, number }, i, all): Moment[] => {
    const words = MODE_WORDS[modeName(number)];
    const fromFlow = all[i - 1]?.number === FLOWING && modeName(number) === "armed";
    return words === undefined || fromFlow ? [] : [{ atS: fromS, kind: "mode", words }];
  });
}

function lessMoments(run: Reviewed): Moment[] {
  return givenLess(run).map(({ stage, fromS, toS, mostPoints, why }) => ({
    atS: fromS,
    toS,
    kind: "less",
    words: `stage ${stage + 1} gets less than its ramps ask, up to ${mostPoints.toFixed(0)} points: ${why}`,
  }));
}

const ORDER: readonly MomentKind[] = ["mode", "launch", "trip", "shuts", "held", "opens", "less"];

/** Everything that happened, in order of time. */
export function storyOf(run: Reviewed): Moment[] {
  const { origin } = run;
  const launch: Moment[] =
    origin.what === "launch" ? [{ atS: origin.atS, kind: "launch", words: "launch" }] : [];
  const all = [
    ...modeMoments(run),
    ...launch,
    ...stageMoments(run),
    ...heldMoments(run),
    ...lessMoments(run),
    ...tripMoments(run),
  ];
  return all.sort((a, b) => a.atS - b.atS || ORDER.indexOf(a.kind) - ORDER.indexOf(b.kind));
}
