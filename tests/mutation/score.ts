// The score: of how many mistakes the tests notice, file by file and in all.
import { explanationOf } from "./explained.ts";
import type { Outcome } from "./pool.ts";
import type { Mutant } from "./schemata.ts";

interface Score {
  readonly name: string;
  readonly mutants: number;
  readonly noticed: number;
  readonly explained: number;
}

function scoreOf(name: string, rows: readonly (Mutant & Outcome)[]): Score {
  const survivors = rows.filter(({ killedBy }) => killedBy === undefined);
  const explained = survivors.filter((mutant) => explanationOf(mutant) !== undefined).length;
  return { name, mutants: rows.length, noticed: rows.length - survivors.length, explained };
}

const percent = (part: number, whole: number): string =>
  whole === 0 ? "" : ((100 * part) / whole).toFixed(1);

function line({ name, mutants, noticed, explained }: Score): string {
  const open = mutants - noticed - explained;
  return `| ${name} | ${mutants} | ${noticed} | ${percent(noticed, mutants)} | ${explained} | ${open} |`;
}

/** A Markdown table. */
export function scoreTable(rows: readonly (Mutant & Outcome)[]): string {
  const files = [...new Set(rows.map(({ file }) => file))].sort();
  const scores = files.map((file) =>
    scoreOf(
      file,
      rows.filter((row) => row.file === file),
    ),
  );
  return [
    "| file | mutants | noticed | % | survivors explained | not explained |",
    "| --- | --: | --: | --: | --: | --: |",
    ...[...scores, scoreOf("all", rows)].map(line),
  ].join("\n");
}
