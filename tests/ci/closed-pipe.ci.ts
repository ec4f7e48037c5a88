// Whoever reads what the tool says may go before it is done, as `head` does: the work goes on to its end.
import { spawnSync } from "node:child_process";
import { existsSync, rmSync } from "node:fs";
import { join } from "node:path";
import { afterAll, expect, test } from "vitest";
import { ROOT } from "../support/core-module.ts";
import { tempFolder } from "../support/temp-folder.ts";

const folder = tempFolder();
afterAll(() => rmSync(folder, { recursive: true }));

test.each([
  ["its result", ""],
  ["its result and its talk", "2>&1"],
])(
  "rehearse writes its files when nobody reads %s",
  (_, more) => {
    const tool = `"${process.execPath}" --import tsx host/cli/main.ts rehearse --until 3s`;
    const [kept, page] = [`kept${more.length}.hgrun`, `page${more.length}.html`];
    const command = `${tool} --keep "$1/${kept}" --html "$1/${page}" ${more} | true; exit \${PIPESTATUS[0]}`;
    const { status, error } = spawnSync("bash", ["-c", command, "bash", folder], {
      cwd: ROOT,
      timeout: 60_000,
    });
    if (error) throw error;
    expect(status).toBe(0);
    expect(existsSync(join(folder, kept))).toBe(true);
    expect(existsSync(join(folder, page))).toBe(true);
  },
  120_000,
);
