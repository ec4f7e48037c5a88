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
  "run-cut": {
    exit: EXIT.no,
    what: "the beginning of this run is not in the log, and this replay needs it",
    todo: "replay another run; `headgate runs` lists them",
    long: "A replay from records, or with other settings, begins where the controller was off, and arms as the run did. Where the controller was armed for much longer than half a minute the log holds only the end of the run, and of the oldest run the ring may have taken the beginning.",
  },
  "run-settings-unknown": {
    exit: EXIT.no,
    what: "the settings that this run was recorded with are neither on the controller nor among the copies",
    todo: "name the settings file with --recorded-with",
    long: "The log holds the check sum of the settings that were in force. A replay needs the settings themselves: they say what a sensor's voltage meant. Each load keeps a copy of what was on the controller before it.",
  },
  "log-not-empty": {
    exit: EXIT.no,
    what: "the run log is not empty after it was erased",
    todo: "run headgate erase again; if it stays so the flash chip is worn or damaged",
    long: "After the erase the log's state and the beginning of every sector are read again. Something was still there.",
  },
  restarted: {
    exit: EXIT.tryAgain,
    what: "the controller restarted while it erased its log, and the log is not empty",
    todo: "check the controller's supply, then run headgate erase again",
    long: "The controller's clock began anew during the erase. A restart ends an erase; what was not erased yet is still there.",
  },
  "log-busy": {
    exit: EXIT.tryAgain,
    what: "the controller is at work on its log",
    todo: "leave the arm switch off and try again in a moment",
    long: "It stores the run that has just ended, or erases the log. Both happen only while it is off, a piece at a time.",
  },
  "not-a-run-file": {
    exit: EXIT.badSettings,
    what: "this is no run file",
    todo: "name a file that `headgate pull RUN --out run.hgrun` wrote",
    long: "Nothing in the file is a whole piece of a run file. Of one that is cut or damaged, every piece that is whole is read and the rest is named.",
  },
  "empty-run": {
    exit: EXIT.badSettings,
    what: "the run holds no record that can be read",
    todo: "pull the run again; `headgate runs` lists those that the controller still has",
    long: "None of the run's pages is whole, or all are of a kind that this version of headgate does not know. The run file itself may still name board, settings and note.",
  },
} as const satisfies Record<string, ErrorEntry>;
