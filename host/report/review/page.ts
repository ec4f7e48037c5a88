// A review as one self-contained page: every channel over one axis, bands, marks with words; a second run laid over the first.

import type { AxisKind } from "#host/logbook/align.ts";
import { type Span, spansOf } from "#host/logbook/spans.ts";
import { LOG_EVERY_MS } from "#shared-schema/link/columns.ts";
import { MODES } from "#shared-schema/model/interlocks.ts";
import { SAFETY_NOTICES } from "#shared-schema/model/safety-notices.ts";
import { escapeHtml, htmlTable } from "../page.ts";
import { type SharedAxis, sharedAxis, tickDigits, ticksIn } from "./axis.ts";
import { type Lane, lanesOf } from "./lanes.ts";
import { numberRows } from "./numbers.ts";
import { type Panel, type Placed, panelsOf, placed } from "./panels.ts";
import { type Reviewed, since } from "./reviewed.ts";
import { SCRIPT } from "./script.ts";
import { type Moment, storyOf } from "./story.ts";
import { STYLE } from "./style.ts";
import { keySvg, panelSvg, type View } from "./svg.ts";
import { headLines, momentWords, UNTOLD } from "./text.ts";

/** Everything that stands on the shared axis: the run, the axis, and the view of all of it. */
interface Sheet {
  readonly axis: SharedAxis;
  readonly view: View;
  readonly one: Placed;
}

const FLOWING = MODES.indexOf("flowing");
/** Moments with a mark of their own in every plot. */
const MARKED: readonly Moment["kind"][] = ["mode", "launch", "opens", "shuts", "trip"];
/** Rows that flags are spread over before the script lays them out. */
const FLAG_ROWS = 5;
const X_TICKS = 8;

/** A time of a run's log as a place on the axis, in counts; undefined where the axis does not reach. */
function placeAt({ axis }: Pick<Sheet, "axis">, { run, track }: Placed, s: number): number | undefined {
  if (axis.kind === "time") return Math.round(since(run, s) * axis.perUnit);
  const i = track.samples.findIndex(({ time = 0 }) => time >= s);
  return i < 0 || s < run.origin.atS ? undefined : Math.round(track.places[i]! * axis.perUnit);
}

/** An element at a place or over a stretch of the axis. */
function spanHtml(sheet: Sheet, on: Placed, { fromS, toS }: Span, classes: string, words = ""): string {
  const from = placeAt(sheet, on, Math.max(fromS, sheet.axis.kind === "time" ? fromS : on.run.origin.atS));
  const to = placeAt(sheet, on, toS);
  if (from === undefined || to === undefined) return "";
  const text = words === "" ? "" : `<b>${escapeHtml(words)}</b>`;
  return `<div class="span ${classes}" style="--a:${from};--b:${to}">${text}</div>`;
}

const marked = ({ run }: Placed): Moment[] => storyOf(run).filter(({ kind }) => MARKED.includes(kind));

function marksHtml(sheet: Sheet): string {
  return marked(sheet.one)
    .map(({ atS }) => placeAt(sheet, sheet.one, atS))
    .filter((place) => place !== undefined)
    .map((place) => `<span class="at" style="--a:${place}"></span>`)
    .join("");
}

const linkTo = ({ axis }: Sheet, place: number): string =>
  `#${axis.key}=${(place / axis.perUnit).toFixed(2)}`;

function flagsHtml(sheet: Sheet): string {
  const flags = marked(sheet.one).map((moment, i) => {
    const place = placeAt(sheet, sheet.one, moment.atS);
    const words = moment.words.replace(/^((tripped|locked out): [\w-]+).*$/s, "$1");
    return place === undefined
      ? ""
      : `<a class="at" href="${linkTo(sheet, place)}" style="--a:${place};--row:${i % FLAG_ROWS}">${escapeHtml(words)}</a>`;
  });
  return `<div class="flags row"><div class="gutter"></div><div class="track">${flags.join("")}<div class="cursor"></div></div></div>`;
}

function ticksHtml({ axis, view }: Sheet): string {
  const { perUnit } = axis;
  const places = ticksIn(view.from / perUnit, (view.from + view.span) / perUnit, X_TICKS);
  const digits = tickDigits(places);
  const words = places.map(
    (tick) => `<span class="at" style="--a:${Math.round(tick * perUnit)}">${tick.toFixed(digits)}</span>`,
  );
  return `<div class="ticks row"><div class="gutter"></div><div class="track">${words.join("")}</div></div>`;
}

function legendHtml({ title, unit, digits, lines, limits }: Panel): string {
  const keys = lines.map(
    ({ look, label }, i) =>
      `<span>${keySvg(look)} ${escapeHtml(label)} <output data-digits="${digits}" data-line="${i}"></output></span>`,
  );
  const bounds = limits.map(
    ({ words, value }) => `<span>${keySvg("limit")} ${escapeHtml(words)} ${value.toFixed(digits)}</span>`,
  );
  return `<div class="legend"><b>${escapeHtml(title)}, ${escapeHtml(unit)}</b>${keys.join("")}${bounds.join("")}</div>`;
}

function gutterHtml({ ticks, min, max }: Panel): string {
  const digits = tickDigits(ticks);
  const words = ticks.map((tick) => {
    const down = (100 * (max - tick)) / (max - min);
    return `<span style="top:${down.toFixed(1)}%">${tick.toFixed(digits)}</span>`;
  });
  return `<div class="gutter">${words.join("")}</div>`;
}

/** What lies behind and before the lines of a plot. */
interface Layers {
  readonly flows: string;
  readonly marks: string;
  readonly ticks: string;
}

function panelHtml(panel: Panel, sheet: Sheet, { flows, marks, ticks }: Layers): string {
  const track = `<div class="flows">${flows}</div><div class="grid"></div>${panelSvg(panel, sheet.axis, sheet.view)}<div class="marks">${marks}</div><div class="picked"></div><div class="cursor"></div>`;
  return `<section class="panel plot">${legendHtml(panel)}<div class="row">${gutterHtml(panel)}<div class="track">${track}</div></div>${ticks}</section>`;
}

function laneHtml({ title, kind, bars }: Lane, sheet: Sheet, on: Placed): string {
  const spans = bars.map((bar) => spanHtml(sheet, on, bar, bar.mode ?? "", bar.words));
  return `<div class="lane row ${kind}"><div class="gutter" title="${escapeHtml(title)}">${escapeHtml(title)}</div><div class="track">${spans.join("")}<div class="cursor"></div></div></div>`;
}

function lanesHtml(sheet: Sheet, on: Placed, ticks: string): string {
  const lanes = lanesOf(on.run).map((lane) => laneHtml(lane, sheet, on));
  const title = `${on.run.name}: mode, what held off, switches and outputs`;
  return `<section class="panel lanes"><div class="legend">${escapeHtml(title)}</div>${lanes.join("")}${ticks}</section>`;
}

function viewOf({ perUnit }: SharedAxis, tracks: readonly Placed[]): View {
  const places = tracks.flatMap(({ track }) => [track.places[0] ?? 0, track.places.at(-1) ?? 0]);
  const from = Math.floor(Math.min(...places) * perUnit);
  return { from, span: Math.max(perUnit, Math.ceil(Math.max(...places) * perUnit) - from) };
}

const TOOLS = `<div class="bar-of-tools"><button data-act="in">Zoom in</button><button data-act="out">Zoom out</button><button data-act="whole">Whole run</button><button data-act="earlier">Earlier</button><button data-act="later">Later</button><button data-act="previous">Mark before</button><button data-act="next">Next mark</button><span>Keys: <kbd>left</kbd> <kbd>right</kbd> move the cursor (with <kbd>Shift</kbd> faster), <kbd>+</kbd> <kbd>-</kbd> zoom, <kbd>0</kbd> whole run, <kbd>n</kbd> <kbd>p</kbd> marks. Drag over a plot to zoom.</span></div>`;

function plotsHtml(sheet: Sheet, other: Placed | undefined): string {
  const { axis, view, one } = sheet;
  const isFlow = spansOf(one.run.samples, ({ mode }) => mode === FLOWING);
  const ticks = ticksHtml(sheet);
  const layers: Layers = {
    flows: isFlow.map((span) => spanHtml(sheet, one, span, "")).join(""),
    marks: marksHtml(sheet),
    ticks,
  };
  const panels = panelsOf(axis.kind, one, other).map((panel) => panelHtml(panel, sheet, layers));
  const lanes = [one, ...(other ? [other] : [])].map((on) => lanesHtml(sheet, on, ticks));
  const data = JSON.stringify({ ...view, per: axis.perUnit, key: axis.key, unit: axis.unit });
  return [
    TOOLS,
    `<p>${escapeHtml(`The plots run over ${axis.label}. Shaded: flow was on${other ? `; shades and marks are those of ${one.run.name}` : ""}.`)}</p>`,
    `<div class="plots" tabindex="0" role="group" aria-label="plots over ${escapeHtml(axis.label)}" data-axis='${data}' style="--x0:${view.from};--span:${view.span}">`,
    flagsHtml(sheet),
    ...lanes.slice(0, 1),
    ...panels,
    ...lanes.slice(1),
    `<div class="foot">${ticks}<output class="now" aria-live="polite"></output></div>`,
    "</div>",
  ].join("");
}

function storyHtml(sheet: Sheet, on: Placed): string {
  const items = storyOf(on.run).map((moment) => {
    const place = placeAt(sheet, on, moment.atS);
    const time = `${since(on.run, moment.atS).toFixed(2)} s`;
    const link = place === undefined ? `<a>${time}</a>` : `<a href="${linkTo(sheet, place)}">${time}</a>`;
    return `<li class="${moment.kind}">${link}<span>${escapeHtml(momentWords(moment))}</span></li>`;
  });
  return `<ol class="story">${items.join("")}</ol>`;
}

const paragraphs = (lines: readonly string[]): string =>
  lines.map((line) => `<p>${escapeHtml(line)}</p>`).join("");

function wordsHtml(sheet: Sheet, on: Placed, several: boolean): string {
  const of = several ? ` (${on.run.name})` : "";
  const rows = numberRows(on.run).map((row) => [...row]);
  return [
    `<h2>${escapeHtml(`What happened${of}`)}</h2>${storyHtml(sheet, on)}`,
    `<h2>${escapeHtml(`In numbers${of}`)}</h2>${htmlTable(["what", "value", "basis"], rows)}`,
  ].join("");
}

const introHtml = (run: Reviewed): string =>
  paragraphs([...headLines(run), ...run.lacks.map((lack) => `Not there: ${lack}`)]);

/** The whole page. Both runs count from the same kind of moment. */
export function reviewPage(kind: AxisKind, run: Reviewed, second?: Reviewed): string {
  const axis = sharedAxis(kind, run.origin);
  const one = placed(run, kind);
  const other = second && placed(second, kind);
  const both = other ? [one, other] : [one];
  const sheet: Sheet = { axis, one, view: viewOf(axis, both) };
  const title = `Review of ${both.map((each) => each.run.name).join(" and ")}`;
  const notices = SAFETY_NOTICES.map(({ text }) => `<li>${escapeHtml(text)}</li>`).join("");
  return [
    `<!doctype html><html lang="en"><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">`,
    `<title>${escapeHtml(title)}</title><style>${STYLE}</style>`,
    `<h1>${escapeHtml(title)}</h1>${both.map((each) => introHtml(each.run)).join("")}`,
    plotsHtml(sheet, other),
    ...both.map((each) => wordsHtml(sheet, each, both.length > 1)),
    `<p>${escapeHtml(UNTOLD)} Records come every ${LOG_EVERY_MS} ms.</p>`,
    `<h2>Cautions</h2><div class="caution"><ul>${notices}</ul></div>`,
    `<script>${SCRIPT}</script></html>\n`,
  ].join("\n");
}
