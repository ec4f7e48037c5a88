// Writes the manual page out of the commands into docs/, part of `npm run generate`; a test compares the two.
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { manualText } from "./cli/manual/manual-text.ts";

writeFileSync(join(import.meta.dirname, "../docs/headgate.1"), manualText());
