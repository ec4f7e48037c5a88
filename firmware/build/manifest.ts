// manifest.json: what the image was made from and with, and how big it is.
import { createHash } from "node:crypto";
import type { ElfFile } from "#host/image/elf.ts";
import { SymbolTable } from "#host/image/symbols.ts";
import { FINGERPRINT } from "#shared-schema/generated/fingerprint.ts";
import { hashOfCore, versionOf } from "./core-sources.ts";
import { FLASH_BASE } from "./image.ts";
import { hashOfSources } from "./sources.ts";

/** The parts of a build that the manifest describes. */
export interface Build {
  readonly root: string;
  readonly version: string;
  readonly compiler: string;
  readonly elf: ElfFile;
  /** Released files by name. */
  readonly files: Readonly<Record<string, Uint8Array>>;
}

/** Text of the manifest. */
export function manifestOf(build: Build): string {
  const hashes = Object.entries(build.files).map(([name, bytes]) => [name, sha256(bytes)]);
  const manifest = {
    version: build.version,
    schemaFingerprint: FINGERPRINT,
    sources: hashOfSources(build.root),
    coreSources: hashOfCore(build.root),
    sha256: Object.fromEntries(hashes),
    bytes: sizesOf(build.elf),
    tools: {
      assemblyscript: versionOf("assemblyscript"),
      wabt: versionOf("wabt"),
      gcc: build.compiler,
    },
  };
  return `${JSON.stringify(manifest, null, 2)}\n`;
}

/** SHA-256 in hex. */
export function sha256(bytes: Uint8Array): string {
  return createHash("sha256").update(bytes).digest("hex");
}

/** Sizes in bytes, from the symbols of firmware/board/memory.ld. `flashOnly` is what runs from flash, boot2 and stub. */
export function sizesOf(elf: ElfFile): Record<string, number> {
  const symbols = new SymbolTable(elf.symbols);
  const between = (from: string, to: string): number => symbols.find(to).address - symbols.find(from).address;
  return {
    flash: symbols.find("image_end").address - FLASH_BASE,
    flashOnly: symbols.find("image_ram_load").address - FLASH_BASE,
    text: between("image_ram_start", "image_text_end"),
    coreText: between("core_text_start", "core_text_end"),
    data: between("image_text_end", "image_ram_end"),
    bss: between("bss_start", "bss_end"),
    coreMemory: between("core_memory", "core_memory_end"),
    stack: between("stack_bottom", "stack_top"),
  };
}
