// Test configuration: tests mirror the folders. In CI the folder of tests that need socat, Chromium or a compiler joins in.
import { availableParallelism } from "node:os";
import { defineConfig } from "vitest/config";
import { compiledSources } from "./tests/support/compiled-sources.ts";
import { SlowFirst } from "./tests/support/order.ts";
import { SLOW } from "./tests/support/slow-tests.ts";

const ci = process.env.CI !== undefined;

export default defineConfig(({ mode }) => ({
  plugins: [compiledSources()],
  test: {
    include: ["tests/**/*.test.ts", ...(ci ? ["tests/ci/**/*.ci.ts"] : [])],
    exclude: mode === "quick" ? [...SLOW] : [],
    globalSetup: ["tests/support/global-setup.ts"],
    setupFiles: ["tests/support/property-tests.ts", "tests/support/seed.ts", "tests/support/leftovers.ts"],
    testTimeout: 600_000,
    hookTimeout: 60_000,
    pool: "forks",
    // With a process for each file most of the time went into imports; tests/support/leftovers.ts stands guard instead.
    isolate: false,
    sequence: { sequencer: SlowFirst },
    // Left to itself it would keep one of two processors for the screen.
    maxWorkers: Math.max(2, availableParallelism() - 1),
  },
}));
