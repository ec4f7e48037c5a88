// Survivors that were looked at: why no test can, or need, tell them from the core without a mistake.
import type { Mutant } from "./schemata.ts";

/** A survivor and the reason. `source` is the beginning of what is wrong, `what` left out stands for every mistake there. */
export interface Explained {
  readonly file: string;
  readonly where: string;
  readonly source: string;
  readonly what?: readonly string[];
  readonly why: string;
}

/** All of them, by file and function. */
export const EXPLAINED: readonly Explained[] = [];

/** Why a survivor survives; undefined when nobody has looked at it. */
export function explanationOf(mutant: Mutant): string | undefined {
  const { file, where, source, what } = mutant;
  const row = EXPLAINED.find(
    (each) =>
      each.file === file &&
      each.where === where &&
      source.startsWith(each.source) &&
      (each.what?.includes(what) ?? true),
  );
  return row?.why;
}
