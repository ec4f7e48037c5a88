// Runs every bench and prints one table: `npm run bench [-- part-of-a-name ...]`. Ends with 0 whatever the numbers say.
import { readdirSync } from "node:fs";
import { isMet, type Row } from "./row.ts";

interface Bench {
  run(): Promise<Row[]> | Row[];
}

const HEADS = ["measured", "value", "unit", "aim", "met"] as const;

/** Three significant digits, and all digits before the point. */
function shown(value: number): string {
  const decimals = Math.max(0, 2 - Math.floor(Math.log10(Math.abs(value) || 1)));
  return value.toLocaleString("en", { maximumFractionDigits: Math.min(decimals, 6) });
}

function cells(row: Row): string[] {
  const met = isMet(row);
  return [row.name, shown(row.value), row.unit, row.aim ?? "", met === undefined ? "" : met ? "yes" : "no"];
}

/** A Markdown table, so that it can be pasted into docs/benchmarks.md. */
function table(rows: readonly (readonly string[])[]): string {
  const widths = HEADS.map((_, i) => Math.max(3, ...rows.map((row) => row[i]!.length)));
  const line = (row: readonly string[]): string =>
    `| ${row.map((cell, i) => (i === 1 ? cell.padStart(widths[i]!) : cell.padEnd(widths[i]!))).join(" | ")} |`;
  const rule = widths.map((width, i) => (i === 1 ? `${"-".repeat(width - 1)}:` : "-".repeat(width)));
  return [line(rows[0]!), line(rule), ...rows.slice(1).map(line)].join("\n");
}

/** Rows of one bench; one that cannot run says why on the error stream and gives none. */
async function rowsOf(file: string): Promise<Row[]> {
  process.stderr.write(`${file}\n`);
  try {
    const bench = (await import(`./${file}`)) as Bench;
    return await bench.run();
  } catch (error) {
    process.stderr.write(
      `${file} gave no numbers: ${error instanceof Error ? error.message : String(error)}\n`,
    );
    return [];
  }
}

const wanted = process.argv.slice(2);
const files = readdirSync(import.meta.dirname)
  .filter(
    (name) =>
      name.endsWith(".bench.ts") && (wanted.length === 0 || wanted.some((part) => name.includes(part))),
  )
  .sort();
const rows: Row[] = [];
for (const file of files) rows.push(...(await rowsOf(file)));
process.stdout.write(`${table([HEADS, ...rows.map(cells)])}\n`);
