// One measured number of a bench, and whether it meets its aim.

/** One measured number; `aim` in words where there is one. */
export interface Row {
  readonly name: string;
  readonly value: number;
  readonly unit: string;
  readonly aim?: string;
}

const BOUND = /^(under|at most|over) ([\d,.]+)/;

/** Does the value keep an aim that names a bound ("under 3", "at most 1", "over 5")? Undefined for any other aim, and for none. */
export function isMet({ value, aim }: Row): boolean | undefined {
  const [, kind, text = ""] = BOUND.exec(aim ?? "") ?? [];
  const limit = Number(text.replaceAll(",", ""));
  if (kind === "under") return value < limit;
  if (kind === "at most") return value <= limit;
  return kind === "over" ? value > limit : undefined;
}
