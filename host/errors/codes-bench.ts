// Errors of the board to practise on.
import type { ErrorEntry } from "./entry.ts";
import { EXIT } from "./exit.ts";

export const BENCH_ERRORS = {
  "no-practice-board": {
    exit: EXIT.noDevice,
    what: "no practice board runs",
    todo: "start one in another window: `headgate board`",
    long: "`headgate board` runs a board to practise on until it is stopped. Its verbs, and the port named practice, reach the one that runs on this computer for this user.",
  },
  "bad-flash-file": {
    exit: EXIT.badSettings,
    what: "the file does not hold the flash of a board",
    todo: "name a file that `headgate board --flash` wrote, or one that is not there yet",
    long: "`headgate board --flash FILE` keeps all two megabytes of a board's flash chip: image, settings and runs. Any other file is left as it is.",
  },
} as const satisfies Record<string, ErrorEntry>;
