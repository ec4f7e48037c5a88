// Everything of the world outside that a command may touch, in one object, so that tests can give it another world.
import type { Readable } from "node:stream";
import { type Clock, realClock } from "#host/link/clock.ts";
import type { Line } from "#host/link/line.ts";
import type { PortInfo } from "#host/link/port-info.ts";
import type { Env, Screen } from "#host/report/terminal/terminal.ts";

import { echoOff } from "./echo.ts";

/** The world of one run of the tool. */
export interface Io {
  readonly stdin: Readable & { readonly isTTY?: boolean | undefined };
  readonly stdout: Screen;
  readonly stderr: Screen;
  readonly env: Env;
  /** Folder that relative file names start from. */
  readonly cwd: string;
  /** Aborted when the user interrupts. */
  readonly signal: AbortSignal;
  readonly clock: Clock;
  readonly now: () => Date;
  /** Keeps keys that somebody types off the screen until the process ends. */
  echoOff?(): void;
  openLine(name: string, baud: number): Promise<Line>;
  listPorts(): Promise<PortInfo[]>;
}

/** The real world. Ports and their library are loaded only when used. */
export function processIo(signal: AbortSignal): Io {
  return {
    stdin: process.stdin,
    stdout: process.stdout,
    stderr: process.stderr,
    env: process.env,
    cwd: process.cwd(),
    signal,
    clock: realClock,
    now: () => new Date(),
    echoOff,
    openLine: async (name, baud) => (await import("#host/link/open-line.ts")).openLine(name, baud),
    listPorts: async () => (await import("#host/link/ports.ts")).listPorts(),
  };
}
