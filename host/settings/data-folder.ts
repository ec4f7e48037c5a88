// Where the tool keeps what outlives a run, by the customs of each system; a variable moves it elsewhere.
import { homedir } from "node:os";
import { join } from "node:path";

/** The user's data folder: XDG base directories on Linux, `Library/Application Support` on macOS, `LOCALAPPDATA` on Windows. */
export function dataFolder(
  env: Readonly<Record<string, string | undefined>>,
  platform: NodeJS.Platform = process.platform,
): string {
  if (env.HEADGATE_DATA) return env.HEADGATE_DATA;
  const home = env.HOME ?? homedir();
  if (platform === "win32") return join(env.LOCALAPPDATA ?? join(home, "AppData", "Local"), "headgate");
  if (platform === "darwin") return join(home, "Library", "Application Support", "headgate");
  return join(env.XDG_DATA_HOME || join(home, ".local", "share"), "headgate");
}
