// Every error code of the tool in one table; a code is never renamed, because scripts look at it.
import { BENCH_ERRORS } from "./codes-bench.ts";
import { FLASH_ERRORS } from "./codes-flash.ts";
import { LINK_ERRORS } from "./codes-link.ts";
import { LOGBOOK_ERRORS } from "./codes-logbook.ts";
import { PLAN_ERRORS } from "./codes-plan.ts";
import { SETTINGS_ERRORS } from "./codes-settings.ts";
import type { ErrorEntry } from "./entry.ts";
import { EXIT } from "./exit.ts";

const GENERAL_ERRORS = {
  usage: {
    exit: EXIT.usage,
    what: "the command line was not understood",
    todo: "read `headgate --help`, then correct the command",
    long: "An unknown command or option, a missing argument, or two options that exclude each other.",
  },
  "needs-answer": {
    exit: EXIT.usage,
    what: "confirmation needed, but this is not a terminal",
    todo: "give --yes to confirm beforehand",
    long: "Questions are asked only when both standard input and standard error are terminals. In scripts every question has an option.",
  },
  declined: {
    exit: EXIT.no,
    what: "the question was answered with no",
    todo: "nothing was changed; repeat the command to be asked again",
    long: "The command stopped at its question because the answer was not yes. The end of the input (Ctrl-D) counts as no.",
  },
  "no-file": {
    exit: EXIT.noFile,
    what: "there is no such file",
    todo: "check the name",
    long: "The file does not exist, or a folder stands where a file is expected.",
  },
  "file-permission": {
    exit: EXIT.permission,
    what: "this user may not read or write the file",
    todo: "check the file's permissions",
    long: "The operating system refused with EACCES or EPERM.",
  },
  "file-exists": {
    exit: EXIT.usage,
    what: "the file is there already",
    todo: "choose another name; nothing is ever overwritten",
    long: "A settings file may hold work that exists nowhere else, so the tool does not write over one.",
  },
  "file-failed": {
    exit: EXIT.tryAgain,
    what: "the file could not be read or written",
    todo: "free some disk space or name another folder, then try again",
    long: "The file is neither missing nor forbidden. The disk may be full, or no longer connected.",
  },
  "file-too-large": {
    exit: EXIT.badSettings,
    what: "the file is far too large to be one of this tool's",
    todo: "check the name: settings and car files have some kilobytes",
    long: "Text files of more than a megabyte are not read at all. Runs in the form of the controller and images have commands of their own.",
  },
  "file-encoding": {
    exit: EXIT.badSettings,
    what: "the file is not UTF-8 text",
    todo: "save it as UTF-8 in the editor",
    long: "Settings and car files are plain text in UTF-8, with or without a byte order mark. Files in UTF-16, as some editors save them, and files with bytes of another encoding are refused, because a sign that was read wrong could be part of a limit.",
  },
  "wrong-kind": {
    exit: EXIT.badSettings,
    what: "the file is of another kind than this command reads",
    todo: "give the file to the command that reads it",
    long: "Settings files, car files, run files, images and pages are told apart by how they begin: a settings file has the key `version`, a car file the key `goal`. A file with nothing but empty lines and comments is called empty.",
  },
  "copy-failed": {
    exit: EXIT.tryAgain,
    what: "no copy of the settings on the controller could be kept",
    todo: "make room on the disk, or name another folder in HEADGATE_DATA",
    long: "Before a load the settings on the controller are copied into the user's data folder, so that they can be put back. Without that copy nothing is loaded.",
  },
  "no-copy": {
    exit: EXIT.no,
    what: "there is no copy to put back",
    todo: "`headgate history` lists the copies; load one of them as a file",
    long: "Copies are kept by each load. None was found that belongs to this board and differs from what is active.",
  },
  "unknown-code": {
    exit: EXIT.usage,
    what: "there is no explanation under this name",
    todo: "`headgate explain` without a name lists all",
    long: "Names that can be explained are error codes, interlocks, rules, cautions and settings.",
  },
  interrupted: {
    exit: EXIT.interrupted,
    what: "interrupted from the keyboard",
    todo: "repeat the command when ready",
    long: "Ctrl-C was pressed. Settings on a controller are never half written by it.",
  },
  bug: {
    exit: EXIT.bug,
    what: "the tool failed because of an error in itself",
    todo: "repeat the command with --debug and report what it prints",
    long: "Something happened that should be impossible. The settings on a controller are safe: they change only at the end of a load.",
  },
} as const satisfies Record<string, ErrorEntry>;

/** All error codes. */
export const ERRORS = {
  ...GENERAL_ERRORS,
  ...SETTINGS_ERRORS,
  ...LINK_ERRORS,
  ...FLASH_ERRORS,
  ...LOGBOOK_ERRORS,
  ...PLAN_ERRORS,
  ...BENCH_ERRORS,
};

export type ErrorCode = keyof typeof ERRORS;
/** Codes that a place in a settings file can have. */
export type SettingsErrorCode = keyof typeof SETTINGS_ERRORS;
/** Codes that port and line can have. */
export type LinkErrorCode = keyof typeof LINK_ERRORS;
