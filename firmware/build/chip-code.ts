// The emulated core's compiled code, part of `npm run generate`: made anew when its sources were changed; `--check` makes it anyway.
import { createHash } from "node:crypto";
import { readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";

const FOLDER = join(import.meta.dirname, "../../host/bench/board/chip/fast");
const SOURCES = join(FOLDER, "assembly");
const MODULE = join(FOLDER, "generated/code.ts");
const OPTIONS = [
  ...["--optimizeLevel", "3", "--noAssert", "--runtime", "stub", "--use", "abort="],
  ...["--importMemory", "--initialMemory", "5", "--maximumMemory", "5"],
];

/** What tells one state of the sources from another. */
function sourcesHash(): string {
  const files = readdirSync(SOURCES)
    .filter((name) => name.endsWith(".ts"))
    .sort();
  const hash = createHash("sha256").update(OPTIONS.join(" "));
  for (const name of files) hash.update(name).update(readFileSync(join(SOURCES, name)));
  return hash.digest("hex");
}

async function moduleText(): Promise<string> {
  const { compileAssembly } = await import("./assembly.ts");
  const base64 = Buffer.from(await compileAssembly(SOURCES, "run.ts", OPTIONS)).toString("base64");
  return [
    "// Compiled from ../assembly by `npm run generate`.",
    `export const SOURCES_HASH = "${sourcesHash()}";`,
    `export const RUN_CODE = "${base64}";`,
    "",
  ].join("\n");
}

async function main(check: boolean): Promise<number> {
  const present = readFileSync(MODULE, "utf8");
  if (!check && present.includes(sourcesHash())) return 0;
  const text = await moduleText();
  if (check && text !== present) process.stdout.write(`differs: ${MODULE}\n`);
  if (!check) writeFileSync(MODULE, text);
  return check && text !== present ? 1 : 0;
}

process.exitCode = await main(process.argv.includes("--check"));
