// `npm run mutate -- board`: each mistake of the board layer is compiled into an image of its own, in a copy of the repository, and the
// image's tests run there. Needs the cross-compiler.
import { spawnSync } from "node:child_process";
import { cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { writeCSource } from "#firmware/build/c-source.ts";
import { compileElf, compileOne, linkElf } from "#firmware/build/compiler.ts";
import { FLASH_BASE, imageOf } from "#firmware/build/image.ts";
import { compiledFiles, sourceFiles } from "#firmware/build/sources.ts";
import { readElf } from "#host/image/elf.ts";
import { encodeUf2 } from "#host/image/uf2.ts";
import { copyOfRepository } from "../support/copied-repository.ts";
import { ROOT } from "../support/core-module.ts";
import { BOARD_MUTANTS, type BoardMutant } from "./board-mutants.ts";

const VERSION = (JSON.parse(readFileSync(join(ROOT, "package.json"), "utf8")) as { version: string }).version;
/** A test that takes longer has noticed: it hangs. */
const LONGEST_MS = 600_000;

/** The objects of the released image in a work folder, from which each mutant is linked with one of them made anew. */
class Workshop {
  readonly folder = mkdtempSync(join(tmpdir(), "headgate-board-"));
  readonly #sources = compiledFiles(ROOT);

  constructor() {
    for (const path of sourceFiles(ROOT))
      cpSync(join(ROOT, path), join(this.folder, path.replace(/^firmware\//, "")));
    cpSync(join(ROOT, "firmware/image/core.wasm"), join(this.folder, "core.wasm"));
    writeCSource(join(this.folder, "core.wasm"), this.folder);
    compileElf(this.folder, this.#sources);
  }

  /** Puts a text in the place of a source, links, and writes the image's files to a folder. */
  link(source: string, text: string, out: string): void {
    writeFileSync(join(this.folder, source), text);
    compileOne(this.folder, source);
    linkElf(this.folder, this.#sources);
    const elf = readFileSync(join(this.folder, "headgate.elf"));
    writeFileSync(join(out, "headgate.elf"), elf);
    writeFileSync(
      join(out, "headgate.uf2"),
      encodeUf2(imageOf(readElf(new Uint8Array(elf)), VERSION), FLASH_BASE),
    );
  }
}

/** The source with the mistake in it. Throws when the list no longer fits the source. */
function mutated({ file, from, to }: BoardMutant): string {
  const source = readFileSync(join(ROOT, "firmware/board", file), "utf8");
  if (source.split(from).length !== 2) throw new Error(`${file} holds this not once: ${from}`);
  return source.replace(from, () => to);
}

const pathOf = (test: string): string => (test.includes("/") ? test : `tests/firmware/board/${test}.test.ts`);

/** Runs the tests in the copy; true when one fails. */
function noticed(copy: string, tests: readonly string[]): boolean {
  const args = [join(copy, "node_modules/vitest/vitest.mjs"), "run", "--bail", "1", "--maxWorkers", "1"];
  const { CI: _whole, ...env } = process.env;
  const options = { cwd: copy, env, stdio: "ignore", timeout: LONGEST_MS } as const;
  return spawnSync(process.execPath, [...args, ...tests.map(pathOf)], options).status !== 0;
}

/** Tries all of them, or those of the files that are named; prints survivors and the score. */
export function tryBoard(files: readonly string[]): void {
  const chosen = BOARD_MUTANTS.filter(({ file }) => files.length === 0 || files.includes(file));
  const texts = chosen.map(mutated);
  const workshop = new Workshop();
  const copy = copyOfRepository();
  const images = join(copy, "firmware/image");
  let killed = 0;
  try {
    if (noticed(copy, [...new Set(chosen.flatMap(({ tests }) => tests))]))
      throw new Error("the tests fail without a mistake");
    chosen.forEach((mutant, i) => {
      const source = `board/${mutant.file}`;
      workshop.link(source, texts[i]!, images);
      if (noticed(copy, mutant.tests)) killed++;
      else
        process.stdout.write(`${mutant.file}: ${mutant.from.trim()} -> ${mutant.to.trim() || "nothing"}\n`);
      workshop.link(source, readFileSync(join(ROOT, "firmware", source), "utf8"), images);
      process.stderr.write(`${i + 1} of ${chosen.length}, ${killed} noticed\n`);
    });
  } finally {
    rmSync(copy, { recursive: true, force: true });
    rmSync(workshop.folder, { recursive: true, force: true });
  }
  const percent = ((100 * killed) / chosen.length).toFixed(1);
  process.stdout.write(`board layer: ${killed} of ${chosen.length} mistakes noticed, ${percent} %\n`);
}
