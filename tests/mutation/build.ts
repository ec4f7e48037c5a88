// Compiles the control core with all its mutants asleep in it; a mistake that the compiler already refuses is left out.
import { cpSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { compileCore } from "#firmware/build/core.ts";
import { type Mutant, schemataOf } from "./schemata.ts";
import { SEEN_WORDS } from "./seen.ts";

/** A core that can be made wrong: set its exported `mutant` to a number of the list. */
export interface MutatedCore {
  readonly wasm: Uint8Array;
  readonly mutants: readonly Mutant[];
  /** How many mistakes the compiler refuses. */
  readonly refused: number;
}

const CORE = new URL("../../firmware/core", import.meta.url).pathname;
const ROUNDS = 12;
/** How the compiler says where: `in name.ts(line,column)`. */
const PLACE = /in ([\w.-]+\.ts)\((\d+),\d+\)/g;

const words = Array.from({ length: SEEN_WORDS }, (_, word) => word);
/** Which mutant is awake, and a bit for each function that has run. */
const SWITCHES = [
  "export let mutant: i32 = 0;",
  ...words.map(
    (word) =>
      `export let seen${word}: u32 = 0;\n// @inline\nexport function see${word}(bit: u32): void { seen${word} |= bit; }`,
  ),
].join("\n");
const EXPORTS = `export { mutant, ${words.map((word) => `seen${word}`).join(", ")} } from "./mutant";\n`;

function write(folder: string, refused: ReadonlySet<string>): Mutant[] {
  const mutants: Mutant[] = [];
  let bodies = 0;
  for (const file of readdirSync(CORE).filter((name) => name.endsWith(".ts") && name !== "board.ts")) {
    const text = readFileSync(join(CORE, file), "utf8");
    const isRefused = (line: number, what: string): boolean => refused.has(`${file}:${line}:${what}`);
    const made = schemataOf(file, text, { id: mutants.length + 1, body: bodies }, isRefused);
    bodies += made.functions;
    mutants.push(...made.mutants);
    const exported = file === "index.ts" ? EXPORTS : "";
    writeFileSync(join(folder, file), made.text + exported);
  }
  if (bodies > 32 * SEEN_WORDS) throw new Error(`${bodies} functions: more words of seen are needed`);
  writeFileSync(join(folder, "mutant.ts"), SWITCHES);
  return mutants;
}

/** Adds the mistakes on the lines that the compiler's words name; false when they name none. */
function refuse(words: string, mutants: readonly Mutant[], refused: Set<string>): boolean {
  const before = refused.size;
  for (const [, file, line] of words.matchAll(PLACE))
    for (const mutant of mutants)
      if (mutant.file === file && mutant.line === Number(line))
        refused.add(`${mutant.file}:${mutant.line}:${mutant.what}`);
  return refused.size > before;
}

/** Builds it. Takes some ten seconds. */
export async function mutatedCore(): Promise<MutatedCore> {
  const folder = mkdtempSync(join(tmpdir(), "headgate-mutants-"));
  const out = join(folder, "core.wasm");
  const refused = new Set<string>();
  try {
    cpSync(CORE, folder, { recursive: true });
    for (let round = 0; round < ROUNDS; round++) {
      const mutants = write(folder, refused);
      try {
        await compileCore(folder, "index.ts", out);
        return { wasm: new Uint8Array(readFileSync(out)), mutants, refused: refused.size };
      } catch (error) {
        if (!refuse(String(error), mutants, refused)) throw error;
      }
    }
    throw new Error("the compiler keeps refusing mutants");
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}
