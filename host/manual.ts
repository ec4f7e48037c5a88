// Writes the manual page out of the commands into docs/, part of `npm run generate`; with --check it compares instead.
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { manualText } from "./cli/manual/manual-text.ts";

const PAGE = join(import.meta.dirname, "../docs/headgate.1");

if (!process.argv.includes("--check")) writeFileSync(PAGE, manualText());
else if (readFileSync(PAGE, "utf8") !== manualText()) {
  process.stdout.write("differs: docs/headgate.1\n");
  process.exitCode = 1;
}
