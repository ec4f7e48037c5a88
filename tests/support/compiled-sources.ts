// Compiles what tests import, file by file, once before a run: Node then runs it as it is, twice as fast as through the test runner.
import { readdirSync } from "node:fs";
import { rm } from "node:fs/promises";
import { dirname, join, relative, resolve } from "node:path";
import { build, type Plugin as Compiler } from "esbuild";
import type { Plugin } from "vitest/config";
import { sourceWithPlace } from "./source-with-place.ts";

const ROOT = resolve(import.meta.dirname, "../..");
/** A folder for each run, where packages are found as from the top of the repository. */
const OUT = join(ROOT, `node_modules/.cache/headgate-tests/${process.pid}`);
/** Everything but the tests themselves and what the runner itself loads before each. */
const FOLDERS = ["host", "shared-schema", "firmware/build", "tests"];
const NOT_COMPILED =
  /\.(d|test|ci)\.ts$|^tests\/bench\/[^/]+$|^tests\/support\/(property-tests|seed|leftovers)\.ts$/;

const INTERNAL = /^(#(host|shared-schema|firmware)\/|\.{1,2}\/).*\.ts$/;

/** The source that `from` imports as `specifier`. */
const sourceOf = (specifier: string, from: string): string =>
  specifier.startsWith("#") ? join(ROOT, specifier.slice(1)) : resolve(dirname(from), specifier);

const compiledOf = (source: string): string => join(OUT, relative(ROOT, source).replace(/\.ts$/, ".mjs"));

function sources(): string[] {
  const all = FOLDERS.flatMap((folder) =>
    readdirSync(join(ROOT, folder), { recursive: true, encoding: "utf8" }).map((path) => join(folder, path)),
  ).map((path) => path.replaceAll("\\", "/"));
  return all.filter((path) => path.endsWith(".ts") && !NOT_COMPILED.test(path));
}

/** Each file stays one module, and knows its place by the name of its source. */
const eachAlone: Compiler = {
  name: "each file alone",
  setup({ onLoad, onResolve }) {
    onResolve({ filter: INTERNAL }, ({ kind, path, importer }) => {
      if (kind === "entry-point") return undefined;
      const link = relative(dirname(importer), sourceOf(path, importer)).replaceAll("\\", "/");
      return { path: `${link.startsWith(".") ? "" : "./"}${link.replace(/\.ts$/, ".mjs")}`, external: true };
    });
    onLoad({ filter: /\.ts$/ }, ({ path }) => ({ contents: sourceWithPlace(path), loader: "ts" }));
  },
};

async function compile(entryPoints: readonly string[]): Promise<void> {
  await build({
    absWorkingDir: ROOT,
    entryPoints: [...entryPoints],
    outdir: OUT,
    outbase: ROOT,
    outExtension: { ".js": ".mjs" },
    bundle: true,
    packages: "external",
    format: "esm",
    platform: "node",
    target: "node20",
    sourcemap: "inline",
    plugins: [eachAlone],
    logLevel: "warning",
  });
}

/** Gives a run the compiled sources; while files are watched, the test runner compiles each as it changes. */
export function compiledSources(): Plugin {
  const compiled = new Set<string>();
  return {
    name: "compiled sources",
    enforce: "pre",
    async configureVitest({ vitest }) {
      if (vitest.config.watch) return;
      const paths = sources();
      await compile(paths);
      for (const path of paths) compiled.add(resolve(ROOT, path));
    },
    resolveId(specifier, importer) {
      if (importer === undefined || !INTERNAL.test(specifier)) return undefined;
      const source = sourceOf(specifier, importer);
      return compiled.has(source) ? { id: compiledOf(source), external: true } : undefined;
    },
    closeBundle: () => rm(OUT, { recursive: true, force: true }),
  };
}
