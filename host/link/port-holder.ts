// Finds the program that has a port open, from /proc on Linux. Elsewhere, and without permission to look, it names none.
import { readdirSync, readFileSync, readlinkSync, realpathSync } from "node:fs";
import { join } from "node:path";

/** A program that has a port open. */
export interface PortHolder {
  readonly pid: number;
  readonly name: string;
}

function quietly<T>(work: () => T, otherwise: T): T {
  try {
    return work();
  } catch {
    return otherwise;
  }
}

function holds(folder: string, path: string): boolean {
  const files = quietly(() => readdirSync(join(folder, "fd")), []);
  return files.some((file) => quietly(() => readlinkSync(join(folder, "fd", file)), "") === path);
}

/** Other programs that have the port open. `proc` is /proc, or a copy of it in tests. */
export function portHolders(port: string, proc = "/proc", self = process.pid): PortHolder[] {
  const path = quietly(() => realpathSync(port), port);
  const pids = quietly(() => readdirSync(proc), []).filter(
    (name) => /^\d+$/.test(name) && Number(name) !== self,
  );
  return pids
    .filter((pid) => holds(join(proc, pid), path))
    .map((pid) => ({
      pid: Number(pid),
      name: quietly(() => readFileSync(join(proc, pid, "comm"), "utf8").trim(), "?"),
    }));
}

/** `held by NAME (process 123)`, or an empty string. */
export function holderText(port: string): string {
  const holders = portHolders(port).map(({ pid, name }) => `${name} (process ${pid})`);
  return holders.length === 0 ? "" : `held by ${holders.join(", ")}`;
}
