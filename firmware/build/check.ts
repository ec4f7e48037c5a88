// Builds the image twice, from the checkout and from a copy of its sources elsewhere, and compares both with the released
// files, byte for byte: `npx tsx firmware/build/check.ts`. Exit 0 same, 1 different, 69 no or another cross-compiler.
import { cpSync, mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { compilerVersion } from "./compiler.ts";
import type { build as Build } from "./pipeline.ts";
import { CORE_ENTRY, sourceFiles } from "./sources.ts";

const ROOT = join(import.meta.dirname, "..", "..");
const RELEASED = join(ROOT, "firmware", "image");
const SAME = 0;
const DIFFERENT = 1;
/** EX_UNAVAILABLE of sysexits.h. */
const UNAVAILABLE = 69;

interface Released {
  readonly version: string;
  readonly tools: { readonly gcc: string };
}

/** Names of the files that differ from the released ones. */
function differing(files: Readonly<Record<string, Uint8Array>>): string[] {
  const names = Object.keys(files);
  return names.filter((name) => Buffer.compare(readFileSync(join(RELEASED, name)), files[name]!) !== 0);
}

type Files = Awaited<ReturnType<typeof Build>>;

async function buildFromCopy(build: typeof Build, version: string, compiler: string): Promise<Files> {
  const root = mkdtempSync(join(tmpdir(), "headgate-copy-"));
  try {
    for (const path of sourceFiles(ROOT)) cpSync(join(ROOT, path), join(root, path));
    return await build({ root, entry: CORE_ENTRY, version, compiler });
  } finally {
    rmSync(root, { recursive: true, force: true });
  }
}

async function check(): Promise<number> {
  const released = JSON.parse(readFileSync(join(RELEASED, "manifest.json"), "utf8")) as Released;
  const compiler = compilerVersion();
  if (compiler !== released.tools.gcc) {
    process.stderr.write(
      `The released image was made with ${released.tools.gcc}; here is ${compiler ?? "none"}.\n`,
    );
    return UNAVAILABLE;
  }
  const { build } = await import("./pipeline.ts");
  const { version } = JSON.parse(readFileSync(join(ROOT, "package.json"), "utf8")) as { version: string };
  const here = differing(await build({ root: ROOT, entry: CORE_ENTRY, version, compiler }));
  const elsewhere = differing(await buildFromCopy(build, version, compiler));
  for (const name of here) process.stderr.write(`${name} differs when built here: npm run firmware\n`);
  for (const name of elsewhere) process.stderr.write(`${name} differs when built from a copy\n`);
  if (here.length + elsewhere.length > 0) return DIFFERENT;
  process.stdout.write("the released image is what its sources give, here and from a copy\n");
  return SAME;
}

process.exitCode = await check();
