// Every page's frame: one self-contained HTML file with its styles, its charts and their script, which opens from disk without a network.
import { type Chart, chartHtml } from "./chart/chart.ts";
import { CHART_SCRIPT } from "./chart/script.ts";
import { CHART_STYLE } from "./chart/style.ts";
import { cautionsHtml, escapeHtml } from "./html.ts";
import { STYLE } from "./style.ts";

/** A part of a page: a heading, text and tables that are escaped already, then charts. */
export interface Section {
  readonly heading: string;
  readonly html?: string;
  readonly charts?: readonly Chart[];
}

/** The cautions, as a section. */
export const CAUTIONS: Section = { heading: "Cautions", html: cautionsHtml() };

/** What matters most, in large words; more lines in it stand in the same size. */
export const resultHtml = (...lines: readonly string[]): string =>
  `<p class="result">${lines.map(escapeHtml).join("<br>")}</p>`;

function sectionHtml({ heading, html = "", charts = [] }: Section): string {
  return `<section><h2>${escapeHtml(heading)}</h2>${html}${charts.map(chartHtml).join("")}</section>`;
}

/** A page's beginning, to its body. `more` is style of the page's own. */
export const pageHead = (title: string, more = ""): string =>
  [
    `<!doctype html><html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">`,
    `<title>${escapeHtml(title)}</title><style>${STYLE}${more}</style></head><body>`,
  ].join("\n");

/** The whole page. `intro` stands under the title and is escaped already. */
export function htmlPage(title: string, intro: string, sections: readonly Section[]): string {
  const hasCharts = sections.some(({ charts = [] }) => charts.length > 0);
  return [
    pageHead(title, hasCharts ? CHART_STYLE : ""),
    `<main><h1>${escapeHtml(title)}</h1>${intro}`,
    ...sections.map(sectionHtml),
    "</main>",
    ...(hasCharts ? [`<script>${CHART_SCRIPT}</script>`] : []),
    "</body></html>\n",
  ].join("\n");
}
