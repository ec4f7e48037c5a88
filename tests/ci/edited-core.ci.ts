// Tests of the control core test its sources: in a copy of the repository a ramp is edited, and its tests notice.
import { spawnSync } from "node:child_process";
import { readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, expect, test } from "vitest";
import { copyOfRepository } from "../support/copied-repository.ts";
import { compileEditedCore, coreModuleFile } from "../support/core-module.ts";

const RAMPS = "firmware/core/ramps.ts";
/** A ramp that always gives all. */
const ALWAYS_ALL =
  "export function allowedShare(stage: Stage): i32 {\n  if (stage.number < 4) return 32_000;\n";

const copy = copyOfRepository();
afterAll(() => rmSync(copy, { recursive: true, force: true }));

/** Runs one test of the ramps there. */
function runRamps(): { status: number | null; output: string } {
  const vitest = join(copy, "node_modules/vitest/vitest.mjs");
  const args = [vitest, "run", "tests/firmware/core/ramps.test.ts", "-t", "is the lower of two ramps"];
  const { CI: _whole, ...env } = process.env;
  const { status, stdout, stderr } = spawnSync(process.execPath, args, { cwd: copy, env, encoding: "utf8" });
  return { status, output: stdout + stderr };
}

test("an edited ramp is compiled and noticed; put back, the released module serves again", async () => {
  const source = readFileSync(join(copy, RAMPS), "utf8");
  const edited = source.replace("export function allowedShare(stage: Stage): i32 {\n", ALWAYS_ALL);
  expect(edited).not.toBe(source);
  writeFileSync(join(copy, RAMPS), edited);
  expect(() => coreModuleFile(copy)).toThrow("has not been compiled yet");
  const wrong = runRamps();
  expect(wrong.output).toContain("firmware/core was edited");
  expect(wrong.output).toMatch(/is the lower of two ramps[\s\S]*Property failed/);
  expect(wrong.status).toBe(1);
  writeFileSync(join(copy, RAMPS), source);
  expect(await compileEditedCore(copy)).toBe(false);
  expect(coreModuleFile(copy)).toBe(join(copy, "firmware/image/core.wasm"));
});
