// `npm run mutate [-- file.ts ...]`: how many small mistakes in the control core do its tests notice? Prints the score, and
// each mistake that they do not notice. `--every N --from M` tries a sample, `--json FILE` keeps what became of each, and goes
// on where such a file ends; `--again FILE` tries the survivors of one once more. `npm run mutate -- board [file.c ...]` tries
// those of the board layer. Ends with 0 whatever the score.
import { existsSync, readFileSync, writeFileSync } from "node:fs";
import { parseArgs } from "node:util";
import { tryBoard } from "./board.ts";
import { explanationOf } from "./explained.ts";
import type { Outcome } from "./pool.ts";
import type { Mutant } from "./schemata.ts";
import { scoreTable } from "./score.ts";
import { prepareTrial, tryMutants } from "./trial.ts";

type Row = Mutant & Outcome;

const { values, positionals } = parseArgs({
  allowPositionals: true,
  options: {
    every: { type: "string", default: "1" },
    from: { type: "string", default: "0" },
    json: { type: "string" },
    again: { type: "string" },
  },
});
const TELL_EVERY = 50;

/** By this a mutant is known again where lines have moved. */
const nameOf = ({ file, where, what, source, nth }: Mutant): string =>
  `${file} ${where}: ${what}: ${source} ${nth}`;

/** What became of mutants that are still there, by a file that an earlier run wrote. */
function known(path: string | undefined, mutants: readonly Mutant[]): Row[] {
  if (path === undefined || !existsSync(path)) return [];
  const now = new Map(mutants.map((mutant) => [nameOf(mutant), mutant]));
  const rows = JSON.parse(readFileSync(path, "utf8")) as Row[];
  return rows.flatMap((row) => {
    const mutant = now.get(nameOf(row));
    return mutant ? [{ ...row, ...mutant, mutant: mutant.id }] : [];
  });
}

/** In the order of the files that are named, so that those come first that matter most; what is explained comes last. */
function byWorth(a: Mutant, b: Mutant): number {
  const place = (mutant: Mutant): number =>
    (explanationOf(mutant) === undefined ? 0 : positionals.length + 1) + positionals.indexOf(mutant.file);
  return place(a) - place(b);
}

/** Names of the survivors in a file that `--json` wrote. */
function survivorsIn(path: string): Set<string> {
  const rows = JSON.parse(readFileSync(path, "utf8")) as Row[];
  return new Set(rows.filter(({ killedBy }) => killedBy === undefined).map(nameOf));
}

if (positionals[0] === "board") {
  tryBoard(positionals.slice(1));
  process.exit(0);
}
const prepared = await prepareTrial();
const again = values.again === undefined ? undefined : survivorsIn(values.again);
const chosen = prepared.mutants
  .filter(({ file }) => positionals.length === 0 || positionals.includes(file))
  .filter((mutant) => again?.has(nameOf(mutant)) ?? true)
  .filter(({ id }) => id % Number(values.every) === Number(values.from))
  .sort(byWorth);
const rows = known(values.json, prepared.mutants);
const tried = new Set(rows.map(({ id }) => id));
const left = chosen.filter(({ id }) => !tried.has(id));
process.stderr.write(
  `${prepared.mutants.length} mutants, ${prepared.refused} refused by the compiler, ${left.length} to try, ${rows.length} known\n`,
);

function keep(): void {
  if (values.json !== undefined) writeFileSync(values.json, `${JSON.stringify(rows, null, 1)}\n`);
}

function tell(outcome: Outcome): void {
  const mutant = prepared.mutants[outcome.mutant - 1]!;
  rows.push({ ...mutant, ...outcome });
  if (outcome.killedBy === undefined) {
    const { file, line, where, what, source } = mutant;
    const why = explanationOf(mutant);
    process.stdout.write(
      `${why === undefined ? "" : "(explained) "}${file}:${line} ${where}: ${what}: ${source}\n`,
    );
  }
  if (rows.length % TELL_EVERY === 0) {
    process.stderr.write(`${rows.length} of ${chosen.length}\n`);
    keep();
  }
}

const { tests, leftOut } = await tryMutants(prepared, left, tell);
keep();
process.stderr.write(
  `${tests} tests; left out, as they need others before them: ${leftOut.join("; ") || "none"}\n`,
);
process.stdout.write(`${scoreTable(rows)}\n`);
process.exit(0);
