// Without the cross-compiler the build says what to install on each system, and ends with EX_UNAVAILABLE (sysexits.h).
import { spawnSync } from "node:child_process";
import { expect, test } from "vitest";

const root = new URL("../../../", import.meta.url).pathname;

test.each(["main.ts", "check.ts"])("%s", (program) => {
  const done = spawnSync(process.execPath, ["--import", "tsx", `firmware/build/${program}`], {
    cwd: root,
    encoding: "utf8",
    env: { PATH: "/nonexistent" },
  });
  expect(done.status).toBe(69);
  expect(done.stdout).toBe("");
  expect(done.stderr).toMatch(program === "main.ts" ? /Debian[\s\S]*macOS[\s\S]*Windows/ : /here is none/);
});
