#!/usr/bin/env node
// Entry of the `headgate` command. Sets the exit code and lets the process end by itself, so that all output leaves.
import { processIo } from "./io.ts";
import { runCli } from "./program.ts";

const stop = new AbortController();
const end = (): void => {
  if (stop.signal.aborted) process.exit(130);
  stop.abort();
};
process.on("SIGINT", end);
// A closed terminal or the end of a service: what lies in temporary folders is taken away as after Ctrl-C.
process.on("SIGHUP", end);
process.on("SIGTERM", end);
/** Whoever reads may go, as `head` does: what is being done goes on, and its files are written. */
const unread = (error: NodeJS.ErrnoException): void => {
  if (error.code !== "EPIPE") throw error;
};
process.stdout.on("error", unread);
process.stderr.on("error", unread);

process.exitCode = await runCli(process.argv.slice(2), processIo(stop.signal));
