// One self-contained HTML page with plots: styles, uPlot and data inside, so that it opens from disk without a network.
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";

/** One line of a plot. `stepped` holds its value until the next point. */
export interface Series {
  readonly label: string;
  readonly values: readonly (number | null)[];
  readonly dash?: readonly number[];
  readonly width?: number;
  readonly stepped?: boolean;
  readonly colour?: string;
  /** Name of the scale it belongs to; scales of one plot share the x axis. */
  readonly scale?: string;
}

/** One plot: an x axis, y axes by scale, and lines. */
export interface Plot {
  readonly title: string;
  readonly xLabel: string;
  readonly yLabels: Readonly<Record<string, string>>;
  readonly x: readonly number[];
  readonly series: readonly Series[];
  readonly height?: number;
  /** Fixed ranges by scale. */
  readonly ranges?: Readonly<Record<string, readonly [number, number]>>;
}

/** A part of a page: a heading with text, tables or plots under it, already escaped. */
export interface Section {
  readonly heading: string;
  readonly html?: string;
  readonly plots?: readonly Plot[];
}

const STYLE = `
  body { font: 16px/1.45 system-ui, sans-serif; color: #000; background: #fff; max-width: 60rem; margin: 1.5rem auto; padding: 0 1rem; }
  h1 { font-size: 1.5rem; margin: 0 0 .3rem; } h2 { font-size: 1.15rem; margin: 2rem 0 .4rem; border-bottom: 2px solid #000; }
  table { border-collapse: collapse; margin: .6rem 0; } th, td { text-align: left; padding: .15rem .9rem .15rem 0; border-bottom: 1px solid #bbb; }
  td.n, th.n { text-align: right; white-space: nowrap; } .caution { border: 3px solid #000; padding: .4rem 1rem; } .result { font-size: 1.2rem; font-weight: bold; } .plot { margin: .8rem 0 1.4rem; }
  .u-legend { font-size: .9rem; text-align: left; } @media print { body { margin: 0; } h2, .plot { break-inside: avoid; } }
`;

/** Draws every plot of the page; runs in the browser. */
const SCRIPT = `
  for (const p of JSON.parse(document.getElementById("plots").textContent)) {
    const names = Object.keys(p.yLabels);
    const scales = { x: { time: false } };
    for (const n of names) scales[n] = p.ranges && p.ranges[n] ? { range: p.ranges[n] } : {};
    const axes = [{ label: p.xLabel }].concat(names.map((n, i) => ({ scale: n, label: p.yLabels[n], side: i === 0 ? 3 : 1, grid: { show: i === 0 }, size: 64 })));
    const series = [{ label: p.xLabel }].concat(p.series.map((s) => ({
      label: s.label, scale: s.scale || names[0], stroke: s.colour || "#000", width: s.width || 1.5, dash: s.dash, points: { show: false }, spanGaps: false,
      paths: s.stepped ? uPlot.paths.stepped({ align: 1 }) : undefined,
      value: (u, v) => v == null ? "-" : String(Math.round(v * 100) / 100),
    })));
    const host = document.getElementById(p.id);
    const make = () => ({ width: host.clientWidth, height: p.height || 260 });
    const u = new uPlot({ ...make(), title: p.title, scales, axes, series, cursor: { drag: { x: true, y: false } } }, [p.x].concat(p.series.map((s) => s.values)), host);
    addEventListener("resize", () => u.setSize(make()));
  }
`;

/** Text made safe to stand in HTML. */
export function escapeHtml(text: string): string {
  return text.replace(/[&<>"]/g, (c) => ({ "&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;" })[c] ?? c);
}

/** A table; cells are escaped, columns named in `numeric` are set to the right. */
export function htmlTable(
  head: readonly string[],
  rows: readonly (readonly string[])[],
  numeric: readonly number[] = [],
): string {
  const cell = (tag: string, text: string, i: number): string =>
    `<${tag}${numeric.includes(i) ? ' class="n"' : ""}>${escapeHtml(text)}</${tag}>`;
  const row = (tag: string, cells: readonly string[]): string =>
    `<tr>${cells.map((c, i) => cell(tag, c, i)).join("")}</tr>`;
  return `<table>${row("th", head)}${rows.map((r) => row("td", r)).join("")}</table>`;
}

/** JSON that cannot end a script element. */
function embedded(value: unknown): string {
  return JSON.stringify(value).replace(/</g, "\\u003c");
}

function library(file: string): string {
  return readFileSync(createRequire(import.meta.url).resolve(`uplot/dist/${file}`), "utf8");
}

/** The whole page. */
export function htmlPage(title: string, intro: string, sections: readonly Section[]): string {
  const plots = sections.flatMap((s) => s.plots ?? []).map((plot, i) => ({ ...plot, id: `plot-${i}` }));
  const ids = plots.map((p) => p.id);
  const body = sections.map((s) => {
    const drawn = (s.plots ?? []).map(() => `<div class="plot" id="${ids.shift()}"></div>`).join("");
    return `<h2>${escapeHtml(s.heading)}</h2>${s.html ?? ""}${drawn}`;
  });
  return [
    `<!doctype html><html lang="en"><meta charset="utf-8"><meta name="viewport" content="width=device-width">`,
    `<title>${escapeHtml(title)}</title><style>${library("uPlot.min.css")}${STYLE}</style>`,
    `<h1>${escapeHtml(title)}</h1>${intro}${body.join("")}`,
    `<script type="application/json" id="plots">${embedded(plots)}</script>`,
    `<script>${library("uPlot.iife.min.js")}</script><script>${SCRIPT}</script></html>\n`,
  ].join("\n");
}
