// Test configuration: tests mirror the folders. In CI the folder of tests that need socat, Chromium or a compiler joins in.
import { availableParallelism } from "node:os";
import { defineConfig } from "vitest/config";

const ci = process.env.CI !== undefined;

export default defineConfig({
  test: {
    include: ["tests/**/*.test.ts", ...(ci ? ["tests/ci/**/*.ci.ts"] : [])],
    setupFiles: ["tests/support/seed.ts"],
    testTimeout: 240_000,
    hookTimeout: 60_000,
    pool: "forks",
    // Left to itself it would keep one of two processors for the screen.
    maxWorkers: Math.max(2, availableParallelism() - 1),
  },
});
