// The whole build: core, C, ELF, image, UF2, manifest, in a work folder of its own.
import { cpSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { readElf } from "#host/image/elf.ts";
import { encodeUf2 } from "#host/image/uf2.ts";
import { writeCSource } from "./c-source.ts";
import { compileElf } from "./compiler.ts";
import { compileCore } from "./core.ts";
import { FLASH_BASE, imageOf } from "./image.ts";
import { manifestOf } from "./manifest.ts";
import { compiledFiles, sourceFiles } from "./sources.ts";

/** What to build: repository, entry file of the core, version of the image, name of the compiler for the manifest. */
export interface Order {
  readonly root: string;
  readonly entry: string;
  readonly version: string;
  readonly compiler: string;
}

/** Builds the image. Returns the released files by name; throws the words of the tool that failed. */
export async function build(order: Order): Promise<Record<string, Uint8Array>> {
  const folder = mkdtempSync(join(tmpdir(), "headgate-build-"));
  try {
    return await buildIn(folder, order);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

async function buildIn(folder: string, order: Order): Promise<Record<string, Uint8Array>> {
  const { root, version, compiler } = order;
  for (const path of sourceFiles(root)) {
    cpSync(join(root, path), join(folder, path.replace(/^firmware\//, "")));
  }
  await compileCore(root, order.entry, join(folder, "core.wasm"));
  writeCSource(join(folder, "core.wasm"), folder);
  compileElf(folder, compiledFiles(root));
  const elfFile = new Uint8Array(readFileSync(join(folder, "headgate.elf")));
  const elf = readElf(elfFile);
  const files = {
    "core.wasm": new Uint8Array(readFileSync(join(folder, "core.wasm"))),
    "headgate.elf": elfFile,
    "headgate.uf2": encodeUf2(imageOf(elf, version), FLASH_BASE),
  };
  const manifest = manifestOf({ root, version, compiler, elf, files });
  return { ...files, "manifest.json": new TextEncoder().encode(manifest) };
}

/** Writes the released files into `out`, which is made if it is not there. */
export function writeAll(files: Readonly<Record<string, Uint8Array>>, out: string): void {
  for (const [name, bytes] of Object.entries(files)) {
    mkdirSync(dirname(join(out, name)), { recursive: true });
    writeFileSync(join(out, name), bytes);
  }
}
