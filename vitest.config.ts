// Test configuration: tests mirror the folders; benches are not tests and live under tests/bench.
import { defineConfig } from "vitest/config";

export default defineConfig({
  test: {
    include: ["tests/**/*.test.ts"],
    testTimeout: 120_000,
    pool: "forks",
  },
});
