// A replayed run beside the recorded one, as lines for a screen: what happened in both and when, shares, and what a replay cannot show.
import type { Comparison } from "#host/replay/compare.ts";
import { RECORD_BOUNDS } from "#host/replay/compare.ts";
import type { EventPair, RunEvent } from "#host/replay/events.ts";
import { COARSE, excuseFor, NOT_SHOWN } from "#host/replay/limits.ts";
import { secondsOf } from "#host/replay/said.ts";
import { tableLines } from "../terminal/table.ts";
import { wrap } from "../terminal/wrap.ts";

/** What was replayed. `other`: name of the settings file that was tried in place of the run's own. */
export interface ReplayTold {
  readonly run: number;
  readonly seconds: number;
  readonly settingsHash: string;
  /** The run with the settings that it was recorded with. */
  readonly own: Comparison;
  readonly other?: { readonly file: string; readonly comparison: Comparison };
  /** Where all that the core read was kept: ticks, and how many records of the run came out the same. */
  readonly exact?: ExactTold | undefined;
  /** Pages between the first and the last that could not be read. */
  readonly lostPages: number;
}

/** What an exact replay came to. `differs`: where the first record is another one, if any is. */
export interface ExactTold {
  readonly ticks: number;
  readonly sameRecords: number;
  readonly differs?: { readonly seconds: number; readonly columns: readonly string[] } | undefined;
}

/** The first line of a replay with other settings. */
export const OTHERWISE =
  "The car would have driven otherwise: this is only what the controller would have done with what its senders said in this run.";

const HEAD = ["recorded", "replayed", "what"];
const DIGITS = 2;

const time = (event: RunEvent | undefined): string =>
  event ? `${secondsOf(event.tick).toFixed(DIGITS).padStart(6)} s` : "";

const by = (event: RunEvent | undefined): string => event?.causes.join(" ") ?? "";

/** The words of a row, with the causes of a hold-off; those of the replay too where they are others. */
function what({ recorded, replayed }: EventPair): string {
  const { words } = recorded ?? replayed!;
  const [one, other] = [by(recorded), by(replayed)];
  const causes = recorded && replayed && one !== other ? `${one} (replayed: ${other})` : one || other;
  return causes === "" ? words : `${words} by ${causes}`;
}

const row = (pair: EventPair): string[] => [time(pair.recorded), time(pair.replayed), what(pair)];

/** Interlocks that a row speaks of. */
function idsOf({ recorded, replayed }: EventPair): string[] {
  const named = [recorded, replayed].flatMap((event) => event?.words.split(" by ")[1]?.split(" ") ?? []);
  return [...named, ...(recorded?.causes ?? []), ...(replayed?.causes ?? [])];
}

function sharesLine({ meanPoints, worstPoints, worstTick }: Comparison): string {
  const where =
    worstTick === undefined
      ? ""
      : `, ${worstPoints.toFixed(1)} at worst, at ${secondsOf(worstTick).toFixed(DIGITS)} s`;
  return `shares are ${meanPoints.toFixed(2)} points apart on average${where}`;
}

/** Does the replay agree with the run? If not, where first, and why that may be. */
export function verdict(comparison: Comparison): string {
  const [first] = comparison.apart;
  if (comparison.same) return "The replay agrees with the run.";
  if (!first) return `The replay does not agree with the run: ${sharesLine(comparison)}.`;
  const at = secondsOf((first.recorded ?? first.replayed!).tick).toFixed(DIGITS);
  const excuse = excuseFor(idsOf(first));
  return `The replay does not agree with the run, from ${at} s on: ${what(first)}${excuse ? `; ${excuse}` : ""}.`;
}

const BOUNDS = `A replay from records, a hundred a second, tells what happens within ${RECORD_BOUNDS.seconds} s and shares within ${RECORD_BOUNDS.sharePoints} points of full share.`;

/** What a replay from records cannot show, in words. */
export function limitLines(width: number): string[] {
  const not = NOT_SHOWN.map(({ ids, why }) => `${ids.join(", ")} (${why})`).join("; ");
  const coarse = COARSE.map(({ ids, what: of }) => `${of} (${ids.join(", ")})`).join("; ");
  return [
    BOUNDS,
    `It cannot show ${not}.`,
    `Near a limit it may be wrong where records are coarse: ${coarse}.`,
  ].flatMap((text) => wrap(text, width, 2));
}

/** Does the run come out the same with its own settings: in every record, or within the bounds of records? */
export const agrees = ({ own, exact }: ReplayTold): boolean =>
  exact ? exact.differs === undefined && exact.sameRecords > 0 : own.same;

function ownVerdict({ own, exact }: ReplayTold): string {
  if (!exact) return verdict(own);
  const { ticks, sameRecords, differs } = exact;
  const all = `${ticks} ticks with all that the core read`;
  if (!differs) return `The same run: ${all} give ${sameRecords} records, each the same in every byte.`;
  const where = `${differs.columns.join(", ")} at ${differs.seconds.toFixed(DIGITS)} s`;
  return `Not the same run: ${all} give ${sameRecords} records that are the same; the first other one differs in ${where}.`;
}

const SOUND_WIRING =
  "With other settings pulses, sensors and switches are as they were in every tick; drivers, relay and wiring are taken for sound.";

function limitsOf({ exact, other }: ReplayTold, width: number): string[] {
  if (!exact) return ["", ...limitLines(width)];
  return other ? ["", ...wrap(SOUND_WIRING, width, 2)] : [];
}

function titleOf({ run, seconds, settingsHash, other, lostPages }: ReplayTold): string[] {
  const settings = other
    ? `replayed with ${other.file} in place of settings ${settingsHash}`
    : `replayed with the settings it was recorded with, ${settingsHash}`;
  return [
    ...(other ? [OTHERWISE] : []),
    `run ${run}: ${seconds.toFixed(DIGITS)} s, ${settings}`,
    ...(lostPages > 0 ? [`${lostPages} damaged pages left out: what lies in them is not compared`] : []),
  ];
}

/** The whole text. */
export function replayLines(told: ReplayTold, width: number): string[] {
  const { own, other } = told;
  const shown = other?.comparison ?? own;
  const after = other
    ? [sharesLine(shown), `With the settings it was recorded with: ${ownVerdict(told)}`]
    : [sharesLine(own), ownVerdict(told)];
  return [
    ...titleOf(told).flatMap((text) => wrap(text, width, 2)),
    "",
    ...tableLines(HEAD, shown.pairs.map(row), width),
    "",
    ...after.flatMap((text) => wrap(text, width, 2)),
    ...limitsOf(told, width),
  ];
}
