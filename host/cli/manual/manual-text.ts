// The manual page of the whole program as text, without a run of the tool.
import { Readable } from "node:stream";
import type { Io } from "../io.ts";
import { buildProgram } from "../program.ts";
import { Session } from "../session.ts";
import { manPage } from "./man-page.ts";
import { treeOf } from "./tree.ts";

/** What the environment can change. */
export const VARIABLES: readonly (readonly [string, string])[] = [
  ["HEADGATE_PORT", "names the port where --port does not; practice is the board that headgate board runs"],
  [
    "HEADGATE_DATA",
    "folder for copies of settings and for what is remembered, in place of the usual one of the system",
  ],
  ["NO_COLOR", "any value: no colours"],
  ["FORCE_COLOR", "any value but 0: colours although the output is no terminal"],
];

/** The page in the macros of `man`. */
export function manualText(): string {
  const nothing = { write: () => true };
  const io = { stdin: Readable.from([]), stdout: nothing, stderr: nothing, env: {} } as unknown as Io;
  return manPage(treeOf(buildProgram(new Session(io))), VARIABLES);
}
