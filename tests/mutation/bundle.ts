// Bundles the tests of the control core into one file for workers, with this folder's stand-ins for runner and core.
import { writeFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { build, type Plugin } from "esbuild";
import { sourceWithPlace } from "../support/source-with-place.ts";

const ROOT = join(import.meta.dirname, "../..");
const REAL_CORE = join(ROOT, "tests/support/core.ts");
const inThisFolder = (name: string): string => join(import.meta.dirname, name);
/** The tests come first: the worker says what it has when it is loaded. */
const ENTRY = /^tests-and-worker$/;
const isHere = (importer: string): boolean => importer.startsWith(`${import.meta.dirname}/`);

/** Sends imports of the runner and of the core to the stand-ins, and leaves each file its own address. */
function standIns(files: readonly string[]): Plugin {
  return {
    name: "stand-ins",
    setup(bundle) {
      bundle.onResolve({ filter: ENTRY }, () => ({ path: "all", namespace: "entry" }));
      bundle.onLoad({ filter: /.*/, namespace: "entry" }, () => ({
        contents: [join(ROOT, "tests/support/seed.ts"), ...files, inThisFolder("worker.ts")]
          .map((file) => `import ${JSON.stringify(resolve(ROOT, file))};`)
          .join("\n"),
        resolveDir: ROOT,
      }));
      bundle.onResolve({ filter: /^(vitest|@fast-check\/vitest)$/ }, ({ importer }) =>
        isHere(importer) ? { external: true } : { path: inThisFolder("collect.ts") },
      );
      bundle.onResolve({ filter: /support\/core\.ts$|^\.\/core\.ts$/ }, ({ path, resolveDir }) =>
        join(resolveDir, path) === REAL_CORE ? { path: inThisFolder("core.ts") } : undefined,
      );
      bundle.onLoad({ filter: /\.ts$/ }, ({ path }) => ({ contents: sourceWithPlace(path), loader: "ts" }));
    },
  };
}

/** Writes the bundle to `outfile`. `files` are test files, from the root of the project. */
export async function bundleTests(files: readonly string[], outfile: string): Promise<void> {
  const { outputFiles } = await build({
    absWorkingDir: ROOT,
    entryPoints: { worker: "tests-and-worker" },
    write: false,
    outdir: ROOT,
    bundle: true,
    format: "esm",
    platform: "node",
    target: "node20",
    packages: "external",
    plugins: [standIns(files)],
    logLevel: "warning",
  });
  writeFileSync(outfile, outputFiles[0]!.contents);
}
