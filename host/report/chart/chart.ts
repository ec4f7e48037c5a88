// Plots under one another over one axis, tied by one cursor and one zoom: marks with words on top, lanes of bars, the axis below.
import { escapeHtml, paragraphs } from "../html.ts";
import { type Axis, tickDigits, ticksIn } from "./axis.ts";
import type { Panel, Stretch } from "./panel.ts";
import { keySvg, panelSvg, type View } from "./svg.ts";

/** Something that happened at a place of the axis, in its unit. */
export interface Mark {
  readonly place: number;
  readonly words: string;
}

/** A stretch in a lane; `mode` gives a bar in a lane of modes its colour. */
export interface Bar extends Stretch {
  readonly mode?: string | undefined;
}

/** A row of bars with its name. */
export interface Lane {
  readonly title: string;
  readonly kind: "mode" | "reason" | "bit";
  readonly bars: readonly Bar[];
}

/** Lanes under one title. */
export interface LaneGroup {
  readonly title: string;
  readonly lanes: readonly Lane[];
}

/** A chart. Places are in the unit of the axis. */
export interface Chart {
  readonly axis: Axis;
  readonly from: number;
  readonly to: number;
  readonly panels: readonly Panel[];
  readonly marks?: readonly Mark[];
  /** Shaded behind every plot; `words` say what the shade means. */
  readonly shaded?: { readonly words: string; readonly stretches: readonly Omit<Stretch, "words">[] };
  /** The first group stands above the plots, others below them. */
  readonly lanes?: readonly LaneGroup[];
}

/** A chart with what its parts need to place themselves. */
interface Sheet extends Chart {
  readonly view: View;
}

/** Rows that flags are spread over before the script lays them out. */
const FLAG_ROWS = 4;
const X_TICKS = 8;

const count = ({ axis }: Chart, place: number): number => Math.round(place * axis.perUnit);

/** `#t=3.45`: opens a page at a place of a chart. */
export const linkTo = ({ key }: Axis, place: number): string => `#${key}=${place.toFixed(2)}`;

function spanHtml(sheet: Sheet, { from, to }: Omit<Stretch, "words">, classes: string, words = ""): string {
  const text = words === "" ? "" : `<b>${escapeHtml(words)}</b>`;
  return `<div class="span ${classes}" style="--a:${count(sheet, from)};--b:${count(sheet, to)}">${text}</div>`;
}

function marksHtml(sheet: Sheet): string {
  return (sheet.marks ?? [])
    .map(({ place }) => `<span class="at" style="--a:${count(sheet, place)}"></span>`)
    .join("");
}

const rowHtml = (classes: string, gutter: string, track: string): string =>
  `<div class="row ${classes}">${gutter}<div class="track">${track}</div></div>`;

const GUTTER = `<div class="gutter"></div>`;

function flagsHtml(sheet: Sheet): string {
  const { axis, marks = [] } = sheet;
  if (marks.length === 0) return "";
  const flags = marks.map(
    ({ place, words }, i) =>
      `<a class="at" href="${linkTo(axis, place)}" style="--a:${count(sheet, place)};--row:${i % FLAG_ROWS}">${escapeHtml(words)}</a>`,
  );
  return rowHtml("flags", GUTTER, `${flags.join("")}<div class="cursor"></div>`);
}

function ticksHtml(sheet: Sheet): string {
  const places = ticksIn(sheet.from, sheet.to, X_TICKS);
  const digits = tickDigits(places);
  const words = places.map(
    (tick) => `<span class="at" style="--a:${count(sheet, tick)}">${tick.toFixed(digits)}</span>`,
  );
  return `${rowHtml("ticks", GUTTER, words.join(""))}<div class="axis-name">${escapeHtml(sheet.axis.label)}</div>`;
}

function legendHtml({ title, unit, digits, lines, limits }: Panel): string {
  const keys = lines.map(
    ({ look, label }, i) =>
      `<span>${keySvg(look)} ${escapeHtml(label)} <output data-digits="${digits}" data-line="${i}"></output></span>`,
  );
  const bounds = limits.map(
    ({ words, value }) => `<span>${keySvg("limit")} ${escapeHtml(words)} ${value.toFixed(digits)}</span>`,
  );
  return `<div class="legend"><b>${escapeHtml(`${title}, ${unit}`)}</b>${keys.join("")}${bounds.join("")}</div>`;
}

function gutterHtml({ ticks, min, max }: Panel): string {
  const digits = tickDigits(ticks);
  const words = ticks.map((tick) => {
    const down = (100 * (max - tick)) / (max - min);
    return `<span style="top:${down.toFixed(1)}%">${tick.toFixed(digits)}</span>`;
  });
  return `<div class="gutter">${words.join("")}</div>`;
}

/** What lies behind and before the lines of every plot. */
interface Layers {
  readonly shades: string;
  readonly marks: string;
  readonly ticks: string;
}

function panelHtml(panel: Panel, sheet: Sheet, { shades, marks, ticks }: Layers): string {
  const stretches = (panel.stretches ?? []).map((each) => spanHtml(sheet, each, "", each.words)).join("");
  const track = `<div class="flows">${shades}</div><div class="stretches">${stretches}</div><div class="grid"></div>${panelSvg(panel, sheet.axis, sheet.view)}<div class="marks">${marks}</div><div class="picked"></div><div class="cursor"></div>`;
  const notes = `<div class="notes">${paragraphs(panel.notes ?? [])}</div>`;
  return `<div class="panel plot">${legendHtml(panel)}${rowHtml("", gutterHtml(panel), track)}${ticks}${panel.notes ? notes : ""}</div>`;
}

function laneHtml({ title, kind, bars }: Lane, sheet: Sheet): string {
  const spans = bars.map((bar) => spanHtml(sheet, bar, bar.mode ?? "", bar.words));
  const name = `<div class="gutter" title="${escapeHtml(title)}">${escapeHtml(title)}</div>`;
  return rowHtml(`lane ${kind}`, name, `${spans.join("")}<div class="cursor"></div>`);
}

function groupHtml({ title, lanes }: LaneGroup, sheet: Sheet, ticks: string): string {
  const rows = lanes.map((lane) => laneHtml(lane, sheet));
  return `<div class="panel lanes"><div class="legend">${escapeHtml(title)}</div>${rows.join("")}${ticks}</div>`;
}

const button = (act: string, words: string): string =>
  `<button type="button" data-act="${act}">${words}</button>`;

const ZOOM = [button("in", "Zoom in"), button("out", "Zoom out"), button("whole", "Show all")].join("");
const MOVE = [button("earlier", "Back"), button("later", "Forward")].join("");
const MARKS = [button("previous", "Mark before"), button("next", "Next mark")].join("");

function toolsHtml({ marks = [] }: Chart): string {
  const hint = `Drag over a plot to zoom in. Keys: <kbd>left</kbd> <kbd>right</kbd> move the cursor (faster with <kbd>Shift</kbd>), <kbd>+</kbd> <kbd>-</kbd> zoom, <kbd>0</kbd> shows all${marks.length > 0 ? ", <kbd>n</kbd> <kbd>p</kbd> go to the next mark and the one before" : ""}.`;
  return `<div class="bar-of-tools screen-only">${ZOOM}${MOVE}${marks.length > 0 ? MARKS : ""}<span>${hint}</span></div>`;
}

function viewOf({ axis, from, to }: Chart): View {
  const first = Math.floor(from * axis.perUnit);
  return { from: first, span: Math.max(1, Math.ceil(to * axis.perUnit) - first) };
}

const shadeWords = ({ shaded }: Chart): string =>
  shaded && shaded.stretches.length > 0
    ? `<p><span class="shade" aria-hidden="true"></span> ${escapeHtml(shaded.words)}</p>`
    : "";

/** The chart as HTML. Everything is drawn: the script only moves it. */
export function chartHtml(chart: Chart): string {
  const sheet: Sheet = { ...chart, view: viewOf(chart) };
  const { axis, view, shaded, lanes = [] } = sheet;
  const ticks = ticksHtml(sheet);
  const shades = (shaded?.stretches ?? []).map((each) => spanHtml(sheet, each, "")).join("");
  const layers: Layers = { shades, marks: marksHtml(sheet), ticks };
  const groups = lanes.map((group) => groupHtml(group, sheet, ticks));
  const data = JSON.stringify({ ...view, per: axis.perUnit, key: axis.key, unit: axis.unit });
  return [
    `<div class="chart">${toolsHtml(chart)}${shadeWords(chart)}`,
    `<div class="plots" tabindex="0" role="group" aria-label="plots over ${escapeHtml(axis.label)}" data-axis="${escapeHtml(data)}" style="--x0:${view.from};--span:${view.span}">`,
    flagsHtml(sheet),
    ...groups.slice(0, 1),
    ...chart.panels.map((panel) => panelHtml(panel, sheet, layers)),
    ...groups.slice(1),
    `<div class="foot">${ticks}<output class="now" aria-live="polite"></output></div>`,
    "</div></div>",
  ].join("");
}
