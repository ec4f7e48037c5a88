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
process.stdout.on("error", (error: NodeJS.ErrnoException) => {
  if (error.code !== "EPIPE") throw error;
});

process.exitCode = await runCli(process.argv.slice(2), processIo(stop.signal));
