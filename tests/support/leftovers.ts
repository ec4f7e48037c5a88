// Files of tests share a process: what one of them changes outside itself and does not put back fails that very file.
// Node replaces process.chdir when its worker threads are loaded; loaded here, that has happened before the first look.
import "node:worker_threads";
import fc from "fast-check";
import { afterAll, beforeAll, expect } from "vitest";
import { removeTempFolders } from "./temp-folder.ts";

/** Kinds of things that stay open when a test forgets to close them (names of Node's own list). */
const OPEN = /^(FSEvent|StatWatcher|TCP|UDP|ProcessWrap|Worker|PipeServer)/;
const SIGNALS = ["exit", "beforeExit", "SIGINT", "SIGTERM", "SIGHUP", "SIGPIPE"] as const;

/** What tests like to replace, with its values now. */
function replaceable(): Map<string, unknown> {
  const objects = { globalThis, process, console, Date, Math, "process.stdout": process.stdout };
  const found = new Map<string, unknown>();
  for (const [name, object] of Object.entries(objects))
    for (const [key, { value }] of Object.entries(Object.getOwnPropertyDescriptors(object)))
      if (typeof value === "function") found.set(`${name}.${key}`, value);
  return found;
}

const left = (): string[] => process.getActiveResourcesInfo().filter((name) => OPEN.test(name));

/** What else a process has only one of, and what it holds open. */
function state() {
  return {
    environment: { ...process.env },
    folder: process.cwd(),
    exitCode: process.exitCode,
    fileModeMask: process.umask(),
    listeners: Object.fromEntries(SIGNALS.map((name) => [name, process.listenerCount(name)])),
    fastCheck: JSON.stringify(fc.readConfigureGlobal()),
    // Packages that find one take Node for a browser.
    hasWindow: "window" in globalThis,
    left: left().sort(),
  };
}

/** Names of functions that are no longer what they were. What appears is let be: Node makes some of its globals when first used. */
function replaced(before: ReadonlyMap<string, unknown>, after: ReadonlyMap<string, unknown>): string[] {
  return [...before.keys()].filter((name) => before.get(name) !== after.get(name));
}

/** Sockets that were closed are gone some turns of the event loop later. */
async function settle(): Promise<void> {
  for (let turn = 0; turn < 50 && left().length > before.state.left.length; turn++)
    await new Promise((resolve) => setImmediate(resolve));
}

let before: { readonly functions: Map<string, unknown>; readonly state: ReturnType<typeof state> };

beforeAll(() => {
  before = { functions: replaceable(), state: state() };
});

afterAll(async () => {
  removeTempFolders();
  await settle();
  expect(replaced(before.functions, replaceable()), "functions that this file replaced").toEqual([]);
  expect(state(), "what this file left behind for the next").toEqual(before.state);
});
