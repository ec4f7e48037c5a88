// Compiles the control core with all its mutants in it, asleep and watched; a mistake that the compiler already refuses is left out.
import { cpSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { compileCore } from "#firmware/build/core.ts";
import { ASLEEP, type Form, watched } from "./forms.ts";
import { pureFunctions } from "./pure.ts";
import { type Mutant, schemataOf } from "./schemata.ts";
import { wordsFor } from "./seen.ts";

/** A core that can be made wrong, and one that tells what would have been. */
export interface MutatedCore {
  /** Set its exported `mutant` to a number of the list. */
  readonly asleep: Uint8Array;
  /** Its exported `seen0`, `seen1`, ... hold a bit for each mutant that would have made a difference where it stands. */
  readonly watched: Uint8Array;
  readonly mutants: readonly Mutant[];
  /** How many mistakes the compiler refuses. */
  readonly refused: number;
}

const CORE = new URL("../../firmware/core", import.meta.url).pathname;
const ROUNDS = 12;
/** How the compiler says where: `in name.ts(line,column)`. */
const PLACE = /in ([\w.-]+\.ts)\((\d+),\d+\)/g;

const FILES = readdirSync(CORE).filter((name) => name.endsWith(".ts") && name !== "board.ts");
const TEXTS = FILES.map((file) => readFileSync(join(CORE, file), "utf8"));

/** Mistakes by file, line and kind that the compiler does not take. */
type Refused = Set<string>;
const placeOf = ({ file, line, what }: Pick<Mutant, "file" | "line" | "what">): string =>
  `${file}:${line}:${what}`;

/** Which mutant is awake, and the words of those seen. */
function switches(words: readonly number[]): string {
  const seen = words.map(
    (word) =>
      `export let seen${word}: u32 = 0;\n// @inline\nexport function see${word}(bit: u32): void { seen${word} |= bit; }`,
  );
  return ["export let mutant: i32 = 0;", ...seen].join("\n");
}

function write(folder: string, form: Form, refused: Refused): Mutant[] {
  const mutants: Mutant[] = [];
  FILES.forEach((file, i) => {
    const isRefused = (line: number, what: string): boolean => refused.has(placeOf({ file, line, what }));
    const made = schemataOf(file, TEXTS[i]!, mutants.length + 1, form, isRefused);
    mutants.push(...made.mutants);
    writeFileSync(join(folder, file), made.text);
  });
  const words = Array.from({ length: wordsFor(mutants.length) }, (_, word) => word);
  writeFileSync(join(folder, "mutant.ts"), switches(words));
  const names = ["mutant", ...words.map((word) => `seen${word}`)].join(", ");
  const index = join(folder, "index.ts");
  writeFileSync(index, `${readFileSync(index, "utf8")}export { ${names} } from "./mutant";\n`);
  return mutants;
}

/** Adds the mistakes on the lines that the compiler's words name; false when they name none. */
function refuse(words: string, mutants: readonly Mutant[], refused: Refused): boolean {
  const before = refused.size;
  for (const [, file, line] of words.matchAll(PLACE))
    for (const mutant of mutants)
      if (mutant.file === file && mutant.line === Number(line)) refused.add(placeOf(mutant));
  return refused.size > before;
}

/** Compiles what `write` writes, and again without what the compiler refuses. */
async function compiled(
  folder: string,
  write: () => Mutant[],
  refused: Refused,
): Promise<{ wasm: Uint8Array; mutants: Mutant[] }> {
  const out = join(folder, "core.wasm");
  for (let round = 0; round < ROUNDS; round++) {
    const mutants = write();
    try {
      await compileCore(folder, "index.ts", out);
      return { wasm: new Uint8Array(readFileSync(out)), mutants };
    } catch (error) {
      if (!refuse(String(error), mutants, refused)) throw error;
    }
  }
  throw new Error("the compiler keeps refusing mutants");
}

/** Builds both. Takes some twenty seconds. */
export async function mutatedCore(): Promise<MutatedCore> {
  const folder = mkdtempSync(join(tmpdir(), "headgate-mutants-"));
  try {
    cpSync(CORE, folder, { recursive: true });
    const refused: Refused = new Set();
    const asleep = await compiled(folder, () => write(folder, ASLEEP, refused), refused);
    const unclear: Refused = new Set();
    const form = watched(pureFunctions(TEXTS), (id) => unclear.has(placeOf(asleep.mutants[id - 1]!)));
    const watching = await compiled(folder, () => write(folder, form, refused), unclear);
    return { asleep: asleep.wasm, watched: watching.wasm, mutants: asleep.mutants, refused: refused.size };
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}
