// A panel's lines as SVG paths in whole counts of the log's own steps: drawn by the host, zoomed in the browser by the view box alone.
import type { Axis } from "./axis.ts";
import type { Panel, PanelLine } from "./panel.ts";

/** A point in whole counts; y grows downwards. */
type Point = readonly [x: number, y: number];

const place = (value: number, per: number): number => Math.round(value * per);

const NO_BREAKS: ReadonlySet<number> = new Set();

/** The line in pieces without a break; points that only repeat both their neighbours' value are left out. */
function piecesOf({ places, values, breaks = NO_BREAKS }: PanelLine, xPer: number, yPer: number): Point[][] {
  const pieces: Point[][] = [[]];
  for (const [i, value] of values.entries()) {
    if (value === null || breaks.has(i)) pieces.push([]);
    if (value === null) continue;
    const inside = !breaks.has(i) && !breaks.has(i + 1);
    const same = inside && values[i - 1] === value && values[i + 1] === value;
    if (!same) pieces.at(-1)!.push([place(places[i]!, xPer), -place(value, yPer)]);
  }
  return pieces.filter((piece) => piece.length > 0);
}

const pair = (x: number, y: number): string => `${x}${y < 0 ? "" : " "}${y}`;

/** `m-1600-899l10 0 10-3`: each point by its way from the one before. */
function pathOf(pieces: readonly (readonly Point[])[]): string {
  let [x, y] = [0, 0];
  return pieces
    .map((piece) =>
      piece
        .map((point, i) => {
          const step = pair(point[0] - x, point[1] - y);
          [x, y] = point;
          if (i < 2) return `${i === 0 ? "m" : "l"}${step}`;
          return `${step.startsWith("-") ? "" : " "}${step}`;
        })
        .join(""),
    )
    .join("");
}

/** Counts to one unit of a panel. */
export const countsPerUnit = ({ digits }: Panel): number => 10 ** digits;

/** Places from the first to the last of a page, in counts. */
export interface View {
  readonly from: number;
  readonly span: number;
}

/** The panel's picture. Limits and grid lines reach over any place that the view may show. */
export function panelSvg(panel: Panel, { perUnit }: Axis, { from, span }: View): string {
  const per = countsPerUnit(panel);
  const [top, height] = [-place(panel.max, per), place(panel.max - panel.min, per)];
  const across = (value: number, look: string): string =>
    `<path class="${look}" d="M${from} ${-place(value, per)}h${span}"/>`;
  const lines = panel.lines.map((line) => {
    const d = pathOf(piecesOf(line, perUnit, per));
    return `<path class="line ${line.look}" d="${d}"/>`;
  });
  return [
    `<svg viewBox="${from} ${top} ${span} ${height}" preserveAspectRatio="none" aria-hidden="true">`,
    ...panel.ticks.map((tick) => across(tick, "rule")),
    ...panel.limits.map(({ value }) => across(value, "limit")),
    ...lines,
    "</svg>",
  ].join("");
}

/** The sample of a line that stands in a legend. */
export const keySvg = (look: string): string =>
  `<svg class="key" viewBox="0 0 40 10" aria-hidden="true"><path class="${look}" d="M0 5h40"/></svg>`;
