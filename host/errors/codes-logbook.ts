// Errors of the stored run log.
import type { ErrorEntry } from "./entry.ts";
import { EXIT } from "./exit.ts";

export const LOGBOOK_ERRORS = {
  "no-run": {
    exit: EXIT.no,
    what: "the controller has no such run",
    todo: "`headgate runs` lists the runs that it has",
    long: "The log is a ring: the oldest runs give way to the newest. A run is stored when the controller has been off for half a second after it.",
  },
  "log-busy": {
    exit: EXIT.tryAgain,
    what: "the controller is at work on its log",
    todo: "leave the arm switch off and try again in a moment",
    long: "It stores the run that has just ended, or erases the log. Both happen only while it is off, a piece at a time.",
  },
} as const satisfies Record<string, ErrorEntry>;
