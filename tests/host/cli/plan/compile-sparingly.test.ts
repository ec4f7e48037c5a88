// The compiler is told to compile sparingly on the V8 that knows the flag, and left alone on any other.
import { expect, test } from "vitest";
import { compileSparingly } from "#host/cli/plan/compile-sparingly.ts";

function flagsOn(v8: string): string[] {
  const flags: string[] = [];
  compileSparingly(v8, (flag) => void flags.push(flag));
  return flags;
}

test("two flags on V8 11", () => {
  expect(flagsOn("11.3.244.8-node.33")).toEqual([
    "--max-inlined-bytecode-size-cumulative=100",
    "--interrupt-budget=300000",
  ]);
});

test("none on another V8, which might not know it", () => {
  for (const v8 of ["1.1", "10.2.154", "12.4.254", "110.1"]) expect(flagsOn(v8)).toEqual([]);
});
