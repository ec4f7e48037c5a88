// Compiles the tick in C as the core is compiled: same compiler, same flags, one file; numbers come from the generated core files.
import { cpSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { CORE_FLAGS, crossCompile, linkAt } from "#firmware/build/compiler.ts";
import { type ElfFile, readElf } from "#host/image/elf.ts";
import { LIVE } from "#shared-schema/link/columns.ts";

const HERE = import.meta.dirname;
const FIRMWARE = fileURLToPath(new URL("../../../firmware", import.meta.url));
/** RAM behind everything that the released image uses, up to RAM_END; a twin throws when the image has grown into it. */
export const TICK_C_ADDRESS = 0x20034000;

function defines(file: string): string {
  const text = readFileSync(join(FIRMWARE, "core", "generated", file), "utf8");
  const constants = [...text.matchAll(/^export const (\w+): (?:u32|usize) = (\w+);$/gm)];
  return constants.map(([, name, value]) => `#define ${name} ${value}u\n`).join("");
}

function liveStruct(): string {
  const fields = LIVE.fields.map(
    ({ name, type, count }) =>
      `  ${type.replace(/^([ui])/, (s) => (s === "u" ? "uint" : "int"))}_t ${name}${count ? `[${count}]` : ""};\n`,
  );
  return `struct live {\n${fields.join("")}};\n`;
}

function fill(folder: string): void {
  for (const name of readdirSync(HERE).filter((file) => /\.[ch]$/.test(file)))
    cpSync(join(HERE, name), join(folder, name));
  mkdirSync(join(folder, "board", "generated"), { recursive: true });
  for (const name of ["divider.S", "bytes.c", "generated/schema.h"])
    cpSync(join(FIRMWARE, "board", name), join(folder, "board", name));
  writeFileSync(
    join(folder, "generated.h"),
    `${["settings.ts", "numbers.ts", "blocks.ts"].map(defines).join("")}${liveStruct()}`,
  );
}

/** The program at TICK_C_ADDRESS. Throws the compiler's words. */
export function buildTickC(): ElfFile {
  const folder = mkdtempSync(join(tmpdir(), "headgate-tick-c-"));
  try {
    fill(folder);
    crossCompile(folder, "tick.c", "tick.o", CORE_FLAGS);
    crossCompile(folder, "board/divider.S", "divider.o");
    crossCompile(folder, "board/bytes.c", "bytes.o");
    linkAt(TICK_C_ADDRESS, folder, ["tick.o", "divider.o", "bytes.o"], "tick.elf");
    return readElf(new Uint8Array(readFileSync(join(folder, "tick.elf"))));
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}
