// A real Chromium for pages that are opened from disk. A missing browser is an error, never a skip.
import { existsSync } from "node:fs";
import { type Browser, chromium } from "playwright-core";

const PLACES = ["/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome"];

/** Starts it. Throws when none is installed. */
export function startBrowser(): Promise<Browser> {
  const executablePath = PLACES.find((path) => existsSync(path));
  if (executablePath === undefined) throw new Error(`no Chromium in ${PLACES.join(", ")}`);
  return chromium.launch({ executablePath, args: ["--no-sandbox"] });
}
