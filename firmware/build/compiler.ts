// C to ELF with the cross-compiler: fixed flags, fixed order of files, names relative to the work folder, so that the
// same sources give the same bytes anywhere.
import { spawnSync } from "node:child_process";
import { basename, extname } from "node:path";
import { CORE_DATA_ADDRESS, CORE_MEMORY_BYTES } from "#shared-schema/model/blocks.ts";
import { run } from "./run.ts";

const GCC = "arm-none-eabi-gcc";
const CPU = ["-mcpu=cortex-m0plus", "-mthumb"];
const COMPILE = [
  ...CPU,
  ...["-O2", "-std=gnu11", "-ffreestanding", "-ffunction-sections", "-fdata-sections", "-fno-common"],
  ...[
    "-fno-tree-loop-distribute-patterns",
    "-fno-ident",
    "-fno-unwind-tables",
    "-fno-asynchronous-unwind-tables",
  ],
  ...["-ffile-prefix-map=.=", "-Wall", "-Wextra", "-Wshadow", "-Werror", "-I.", "-Iwasm-runtime"],
];
/**
 * wasm2c's output has names that nothing uses, and its memory has no types. Measured with `npm run bench`: -Os is a fifth
 * smaller than -O2 and quicker; blocks ordered by how often they run save another hundredth.
 */
export const CORE_FLAGS: readonly string[] = [
  ...["-Os", "-freorder-blocks", "-freorder-blocks-algorithm=stc", "-fno-strict-aliasing"],
  ...["-Wno-unused", "-Wno-shadow", `-DCORE_STATE_ADDRESS=${CORE_DATA_ADDRESS}u`],
];
const LINK = [
  ...CPU,
  ...[
    "-nostdlib",
    "-Wl,--gc-sections",
    "-Wl,--build-id=none",
    "-Wl,--fatal-warnings",
    "-Wl,--no-warn-rwx-segments",
  ],
  ...["-Wl,-T,memory.ld"],
];

/** First line of what the cross-compiler says of itself, or undefined when it is not installed. */
export function compilerVersion(): string | undefined {
  const asked = spawnSync(GCC, ["--version"], { encoding: "utf8" });
  return asked.status === 0 ? asked.stdout.split("\n")[0]?.trim() : undefined;
}

/** Compiles one source to an object, paths from `folder`, with `extra` behind the flags of the board layer. */
export function crossCompile(
  folder: string,
  source: string,
  object: string,
  extra: readonly string[] = [],
): void {
  run(GCC, [...COMPILE, ...extra, "-c", source, "-o", object], folder);
}

/** Links objects for a place in RAM, without the image's layout. */
export function linkAt(address: number, folder: string, objects: readonly string[], elf: string): void {
  const place = `-Wl,-Ttext=0x${address.toString(16)}`;
  run(
    GCC,
    [...CPU, "-nostdlib", "-Wl,--build-id=none", place, "-Wl,-e,0", ...objects, "-lgcc", "-o", elf],
    folder,
  );
}

const objectOf = (source: string): string => `${basename(source, extname(source))}.o`;

/** Compiles one source of the image (path from `folder`) to its object there. */
export function compileOne(folder: string, source: string): void {
  crossCompile(folder, source, objectOf(source), source === "core.c" ? CORE_FLAGS : []);
}

/** Links the objects of `sources` in the order given to headgate.elf. */
export function linkElf(folder: string, sources: readonly string[]): void {
  const size = `-DCORE_MEMORY_BYTES=${CORE_MEMORY_BYTES}`;
  run(GCC, ["-E", "-P", "-x", "c", size, "board/memory.ld", "-o", "memory.ld"], folder);
  run(GCC, [...LINK, ...sources.map(objectOf), "-lgcc", "-o", "headgate.elf"], folder);
}

/** Compiles `sources` (paths from `folder`) and links them. */
export function compileElf(folder: string, sources: readonly string[]): void {
  for (const source of sources) compileOne(folder, source);
  linkElf(folder, sources);
}
