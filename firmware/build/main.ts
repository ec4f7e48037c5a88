// Builds the image: `npm run firmware -- [--out DIR] [--core FILE]`. Without the cross-compiler it says what to install.
import { readFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { parseArgs } from "node:util";
import { compilerVersion } from "./compiler.ts";
import { CORE_ENTRY } from "./sources.ts";

const ROOT = join(import.meta.dirname, "..", "..");
/** EX_UNAVAILABLE and EX_SOFTWARE of sysexits.h. */
const UNAVAILABLE = 69;
const FAILED = 70;
const NO_COMPILER = `The cross-compiler arm-none-eabi-gcc is not installed.
  Debian, Ubuntu: sudo apt-get install gcc-arm-none-eabi
  macOS:          brew install --cask gcc-arm-embedded
  Windows:        winget install Arm.GnuArmEmbeddedToolchain
Nothing else needs it: the released image is in firmware/image.
`;

async function main(args: string[]): Promise<number> {
  const { values } = parseArgs({
    args,
    options: {
      out: { type: "string", default: join(ROOT, "firmware", "image") },
      core: { type: "string", default: CORE_ENTRY },
    },
  });
  const compiler = compilerVersion();
  if (!compiler) {
    process.stderr.write(NO_COMPILER);
    return UNAVAILABLE;
  }
  const { build, writeAll } = await import("./pipeline.ts");
  const { version } = JSON.parse(readFileSync(join(ROOT, "package.json"), "utf8")) as { version: string };
  const files = await build({ root: ROOT, entry: values.core, version, compiler });
  writeAll(files, resolve(values.out));
  process.stdout.write(new TextDecoder().decode(files["manifest.json"]));
  return 0;
}

try {
  process.exitCode = await main(process.argv.slice(2));
} catch (error) {
  process.stderr.write(`${error instanceof Error ? error.message : String(error)}\n`);
  process.exitCode = FAILED;
}
