// A review as one self-contained page: every channel over one axis, bands, marks with words; a second run laid over the first.

import type { AxisKind } from "#host/logbook/align.ts";
import { type Span, spansOf } from "#host/logbook/spans.ts";
import { LOG_EVERY_MS } from "#shared-schema/link/columns.ts";
import { MODES } from "#shared-schema/model/interlocks.ts";
import { type Chart, type LaneGroup, linkTo, type Mark } from "../chart/chart.ts";
import { escapeHtml, htmlTable, paragraphs } from "../html.ts";
import { CAUTIONS, htmlPage, resultHtml, type Section } from "../page.ts";
import { type SharedAxis, sharedAxis } from "./axis.ts";
import { lanesOf } from "./lanes.ts";
import { marksOf } from "./marks.ts";
import { numberRows } from "./numbers.ts";
import { type Placed, panelsOf, placed } from "./panels.ts";
import { resultLines } from "./result.ts";
import { type Reviewed, since } from "./reviewed.ts";
import { storyOf } from "./story.ts";
import { headLines, momentWords, UNTOLD } from "./text.ts";

const FLOWING = MODES.indexOf("flowing");

/** A time of a run's log as a place on the axis; undefined where the axis does not reach. */
function placeAt(axis: SharedAxis, { run, track }: Placed, s: number): number | undefined {
  if (axis.kind === "time") return since(run, s);
  const i = track.samples.findIndex(({ time = 0 }) => time >= s);
  return i < 0 || s < run.origin.atS ? undefined : track.places[i]!;
}

/** A stretch of a run's log on the axis; none where the axis does not reach. */
function stretchOn<T extends Span>(
  axis: SharedAxis,
  on: Placed,
  span: T,
): (T & { from: number; to: number })[] {
  const begin = axis.kind === "time" ? span.fromS : Math.max(span.fromS, on.run.origin.atS);
  const [from, to] = [placeAt(axis, on, begin), placeAt(axis, on, span.toS)];
  return from === undefined || to === undefined ? [] : [{ ...span, from, to }];
}

function marksOn(axis: SharedAxis, on: Placed): Mark[] {
  return marksOf(on.run).flatMap(({ atS, words }) => {
    const place = placeAt(axis, on, atS);
    return place === undefined ? [] : [{ place, words }];
  });
}

function lanesOn(axis: SharedAxis, on: Placed): LaneGroup {
  const lanes = lanesOf(on.run).map((lane) => ({
    ...lane,
    bars: lane.bars.flatMap((bar) => stretchOn(axis, on, bar)),
  }));
  return { title: `${on.run.name}: mode, what held off, switches and outputs`, lanes };
}

function chartOf(axis: SharedAxis, one: Placed, other: Placed | undefined): Chart {
  const both = other ? [one, other] : [one];
  const places = both.flatMap(({ track }) => [track.places[0] ?? 0, track.places.at(-1) ?? 0]);
  const [from, to] = [Math.min(...places), Math.max(...places)];
  const flowed = spansOf(one.run.samples, ({ mode }) => mode === FLOWING);
  const whose = other ? ` Shades and marks are those of ${one.run.name}.` : "";
  return {
    axis,
    from,
    to: Math.max(to, from + 1),
    panels: panelsOf(axis.kind, one, other),
    marks: marksOn(axis, one),
    shaded: {
      words: `Flow was on.${whose}`,
      stretches: flowed.flatMap((span) => stretchOn(axis, one, span)),
    },
    lanes: both.map((on) => lanesOn(axis, on)),
  };
}

function storyHtml(axis: SharedAxis, on: Placed): string {
  const items = storyOf(on.run).map((moment) => {
    const place = placeAt(axis, on, moment.atS);
    const time = `${since(on.run, moment.atS).toFixed(2)} s`;
    const link = place === undefined ? `<a>${time}</a>` : `<a href="${linkTo(axis, place)}">${time}</a>`;
    return `<li class="${moment.kind}">${link}<span>${escapeHtml(momentWords(moment))}</span></li>`;
  });
  return `<ol class="story">${items.join("")}</ol>`;
}

function wordsOf(axis: SharedAxis, on: Placed, several: boolean): Section[] {
  const of = several ? ` (${on.run.name})` : "";
  const rows = numberRows(on.run).map((row) => [...row]);
  return [
    { heading: `What happened${of}`, html: storyHtml(axis, on) },
    { heading: `In numbers${of}`, html: htmlTable(["what", "value", "basis"], rows) },
  ];
}

function introHtml(run: Reviewed, several: boolean): string {
  const lacks = run.lacks.map((lack) => `Not there: ${lack}`);
  return (
    resultHtml(...resultLines(run, several ? run.name : undefined)) +
    paragraphs([...headLines(run), ...lacks])
  );
}

/** The whole page. Both runs count from the same kind of moment. */
export function reviewPage(kind: AxisKind, run: Reviewed, second?: Reviewed): string {
  const axis = sharedAxis(kind, run.origin);
  const one = placed(run, kind);
  const other = second && placed(second, kind);
  const both = other ? [one, other] : [one];
  const several = both.length > 1;
  const untold = `<p>${escapeHtml(`${UNTOLD} Records come every ${LOG_EVERY_MS} ms.`)}</p>`;
  return htmlPage(
    `Review of ${both.map((each) => each.run.name).join(" and ")}`,
    both.map((each) => introHtml(each.run, several)).join(""),
    [
      { heading: "The run", charts: [chartOf(axis, one, other)] },
      ...both.flatMap((each) => wordsOf(axis, each, several)),
      { heading: "What the log cannot tell", html: untold },
      CAUTIONS,
    ],
  );
}
