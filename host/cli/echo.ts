// Keeps a terminal from showing the keys that somebody types while something is drawn in place, which they would tear.

/**
 * Asks and sets in one go. Only the foreground (a plus sign in the state that POSIX `ps` gives) may set its terminal: a
 * program behind it would be stopped for it.
 */
const SET = 'case "$(ps -o stat= -p "$1")" in *+*) stty "$2" ;; *) exit 1 ;; esac';

function set(word: "echo" | "-echo"): boolean {
  // Loaded where it is needed: it costs every command some 9 ms of processor time.
  const { spawnSync } = process.getBuiltinModule("node:child_process");
  const args = ["-c", SET, "sh", String(process.pid), word];
  return spawnSync("sh", args, { stdio: ["inherit", "ignore", "ignore"] }).status === 0;
}

const on = (): void => void set("echo");

/**
 * Switches the echo off; the end of the process switches it on again. Ctrl-C stays a signal, and a question shows its answer
 * all the same. On Windows a key is shown only while a program reads, so nothing has to be done.
 */
export function echoOff(): void {
  const isOff = process.listeners("exit").includes(on);
  if (!isOff && process.platform !== "win32" && process.stdin.isTTY === true && set("-echo"))
    process.on("exit", on);
}
