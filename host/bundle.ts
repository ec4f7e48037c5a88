// Bundles the command line into dist/ (or the folder named), in pieces that load only when used, so that `--help` starts fast.
import { readFile, rm } from "node:fs/promises";
import { join, resolve } from "node:path";
import { build } from "esbuild";

const ROOT = join(import.meta.dirname, "..");
const OUT = resolve(ROOT, process.argv[2] ?? "dist");
const PROJECT = JSON.parse(await readFile(join(ROOT, "package.json"), "utf8")) as {
  dependencies: Record<string, string>;
};
/** CommonJS packages inside an ES module bundle still ask for `require`. */
const REQUIRE =
  'import { createRequire as makeRequire } from "node:module"; const require = makeRequire(import.meta.url);';

await rm(OUT, { recursive: true, force: true });
await build({
  absWorkingDir: ROOT,
  entryPoints: {
    headgate: "host/cli/main.ts",
    "proof-worker": "host/cli/bench/proof-worker.ts",
    "spread-worker": "host/cli/bench/spread-worker.ts",
    "ramp-worker": "host/cli/plan/ramp-worker.ts",
  },
  outdir: OUT,
  bundle: true,
  splitting: true,
  format: "esm",
  platform: "node",
  target: "node20",
  // Whatever a command loads is read and parsed each time it runs; names stay, for the traces of --debug.
  minifyWhitespace: true,
  minifySyntax: true,
  // Everything else goes into the bundle, and is needed for building alone.
  external: Object.keys(PROJECT.dependencies),
  banner: { js: REQUIRE },
  logLevel: "warning",
});
