// Bundles the command line into dist/, in pieces that load only when used, so that `--help` and `check` start fast.
import { rm } from "node:fs/promises";
import { join } from "node:path";
import { build } from "esbuild";
import project from "../package.json" with { type: "json" };

const ROOT = join(import.meta.dirname, "..");
const OUT = join(ROOT, "dist");
/** CommonJS packages inside an ES module bundle still ask for `require`. */
const REQUIRE =
  'import { createRequire as makeRequire } from "node:module"; const require = makeRequire(import.meta.url);';

await rm(OUT, { recursive: true, force: true });
await build({
  absWorkingDir: ROOT,
  entryPoints: { headgate: "host/cli/main.ts" },
  outdir: OUT,
  bundle: true,
  splitting: true,
  format: "esm",
  platform: "node",
  target: "node20",
  // Everything else goes into the bundle, and is needed for building alone.
  external: Object.keys(project.dependencies),
  banner: { js: REQUIRE },
  logLevel: "warning",
});
