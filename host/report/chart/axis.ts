// The axis that all plots of a chart share, and nice steps for any axis.

/** A shared axis. Places on the page are whole counts, `perUnit` to a unit. */
export interface Axis {
  readonly perUnit: number;
  readonly unit: string;
  readonly label: string;
  /** Name of the axis in a link, one of its own for each chart of a page: `#t=3.45`. */
  readonly key: string;
}

/** The step of 1, 2 or 5 times a power of ten that gives at most `most` steps over a span. */
export function niceStep(span: number, most: number): number {
  const raw = span / most;
  const power = 10 ** Math.floor(Math.log10(raw));
  return power * ([1, 2, 5].find((nice) => nice * power >= raw * 0.999_999) ?? 10);
}

/** Values at whole steps within a range. */
export function ticksIn(min: number, max: number, most: number): number[] {
  const step = niceStep(max - min, most);
  const [first, last] = [Math.ceil(min / step - 1e-9), Math.floor(max / step + 1e-9)];
  return Array.from({ length: Math.max(0, last - first + 1) }, (_, i) =>
    Number(((first + i) * step).toPrecision(12)),
  );
}

/** Decimals that tell the ticks of an axis apart. */
export const tickDigits = (ticks: readonly number[]): number =>
  Math.max(0, ...ticks.map((tick) => (String(Number(tick.toPrecision(9))).split(".")[1] ?? "").length));
