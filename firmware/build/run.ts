// Runs one tool of the pipeline to its end; what it says is only heard when it fails.
import { spawnSync } from "node:child_process";

/** Standard output of the tool. Throws its words when it cannot start or ends with anything but 0. */
export function run(command: string, args: readonly string[], folder: string): string {
  const done = spawnSync(command, args, {
    cwd: folder,
    encoding: "utf8",
    env: { ...process.env, LC_ALL: "C" },
  });
  if (done.error) throw done.error;
  if (done.status !== 0) throw new Error(`${command} ${args.join(" ")}\n${done.stdout}${done.stderr}`);
  return done.stdout;
}
