// manifest.json: what the image was made from and with, and how big it is.
import { createHash } from "node:crypto";
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { FINGERPRINT } from "#shared-schema/generated/fingerprint.ts";
import type { Elf } from "./elf.ts";
import { hashOfSources } from "./sources.ts";

/** The parts of a build that the manifest describes. */
export interface Build {
  readonly root: string;
  readonly version: string;
  readonly compiler: string;
  readonly elf: Elf;
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

/** Sizes in bytes: flash in use, text of the core and of all, initialised and zeroed data, core memory, stack. */
export function sizesOf(elf: Elf): Record<string, number> {
  const size = (name: string): number => elf.sections.find((section) => section.name === name)?.size ?? 0;
  const at = (name: string): number => elf.symbols.find((symbol) => symbol.name === name)?.address ?? 0;
  return {
    flash: at("image_end") - 0x10000000,
    flashOnly: [".boot2", ".flash_vectors", ".image_header", ".stub"].reduce(
      (sum, name) => sum + size(name),
      0,
    ),
    text: size(".ram_text"),
    coreText: at("core_text_end") - at("core_text_start"),
    data: size(".data"),
    bss: size(".bss"),
    coreMemory: size(".core_memory"),
    stack: size(".stack"),
  };
}

function versionOf(name: string): string {
  const path = createRequire(import.meta.url).resolve(`${name}/package.json`);
  return (JSON.parse(readFileSync(path, "utf8")) as { version: string }).version;
}
