// The practice board as a person has it: started in a pseudo-terminal of 80x24, its page moved in a real browser, verbs in a second terminal.
import { execFileSync } from "node:child_process";
import { existsSync, mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { type IPty, spawn } from "@lydell/node-pty";
import { type Browser, chromium, type Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";

const CHROMIUM = ["/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome"].find((path) =>
  existsSync(path),
);
const ROOT = join(import.meta.dirname, "../..");
/** The bundle of the sources as they are: it starts in a tenth of the time. Within the repository, so that it finds the package. */
const BUNDLE = join(ROOT, "node_modules/.practice-test");
const LONGEST_MS = 90_000;

/** A terminal in which the tool runs. */
class Terminal {
  text = "";
  readonly ended: Promise<number>;
  private readonly pty: IPty;

  constructor(folder: string, args: readonly string[], columns = 80) {
    this.pty = spawn(process.execPath, [join(BUNDLE, "headgate.js"), ...args], {
      cols: columns,
      rows: 24,
      cwd: folder,
      env: { ...process.env, HEADGATE_DATA: join(folder, "data"), HEADGATE_PORT: "practice" },
    });
    this.pty.onData((data) => {
      this.text += data;
    });
    this.ended = new Promise((resolve) => this.pty.onExit(({ exitCode }) => resolve(exitCode)));
  }

  keys(text: string): void {
    this.pty.write(text);
  }

  interrupt(): void {
    this.pty.write("\u0003");
  }

  /** A closed terminal. */
  hangUp(): void {
    this.pty.kill("SIGHUP");
  }

  async until(pattern: RegExp): Promise<RegExpExecArray> {
    const endMs = performance.now() + LONGEST_MS;
    for (;;) {
      const found = pattern.exec(this.text);
      if (found) return found;
      if (performance.now() > endMs) throw new Error(`never said ${pattern}: ${this.text}`);
      await new Promise((resolve) => setTimeout(resolve, 50));
    }
  }
}

describe("the practice board", { timeout: 4 * LONGEST_MS }, () => {
  const folder = mkdtempSync(join(tmpdir(), "headgate-test-"));
  let board: Terminal;
  let browser: Browser;
  let page: Page;
  const strangers: string[] = [];

  const headline = (): Promise<string | null> => page.textContent("#headline");
  const says = (words: string): Promise<void> =>
    page.locator("#headline", { hasText: words }).waitFor({ timeout: LONGEST_MS });
  async function type(...args: string[]): Promise<Terminal> {
    const terminal = new Terminal(folder, args);
    await terminal.ended;
    return terminal;
  }

  beforeAll(async () => {
    expect(CHROMIUM, "Chromium is needed here").toBeDefined();
    execFileSync(process.execPath, ["node_modules/tsx/dist/cli.mjs", "host/bundle.ts", BUNDLE], {
      cwd: ROOT,
    });
    board = new Terminal(folder, ["board", "--flash", "flash.bin"]);
    const [url] = await board.until(/http:\/\/127\.0\.0\.1:\d+\/[\w-]{32}\//);
    await board.until(/stop it with Ctrl-C/);
    browser = await chromium.launch({ executablePath: CHROMIUM!, args: ["--no-sandbox"] });
    page = await browser.newPage({ viewport: { width: 390, height: 800 } });
    page.on("request", (request) => {
      if (!request.url().startsWith(url) && !request.url().startsWith("data:")) strangers.push(request.url());
    });
    page.on("pageerror", (error) => strangers.push(String(error)));
    await page.goto(url);
  }, 2 * LONGEST_MS);

  afterAll(async () => {
    await browser?.close();
    board.interrupt();
    await board.ended;
    for (const made of [folder, BUNDLE]) rmSync(made, { recursive: true, force: true });
  });

  test("its screen fits 80 columns", () => {
    for (const line of board.text.split("\r\n").filter((text) => !text.includes("http")))
      expect(line.length).toBeLessThanOrEqual(80);
  });

  test("the page shows it, has no sideways scrolling on a phone, and asks nobody else", async () => {
    await says("OFF");
    expect(await page.evaluate("document.documentElement.scrollWidth <= innerWidth")).toBe(true);
    expect(strangers).toEqual([]);
  });

  test("settings loaded in a second terminal, armed on the page by the keyboard alone", async () => {
    await type("new", "my.yaml", "--preset", "demo");
    // Whatever somebody types while the bar is drawn: it must not stand in it, and the terminal must echo again afterwards.
    const load = new Terminal(folder, ["load", "my.yaml", "--yes"]);
    await load.until(/write \[/);
    load.keys("~~~");
    expect(await load.ended).toBe(0);
    expect(load.text).toContain("LOADED");
    expect(load.text).not.toContain("~");
    await page.focus('[data-switch="arm"]');
    await page.keyboard.press("Space");
    await says("ARMED");
    expect((await type("status", "--short")).text).toMatch(/ARMED/);
    const refused = await type("load", "my.yaml", "--yes");
    expect(refused.text).toContain("NOT LOADED");
  });

  test("a slider holds a value, damage on the page trips, a verb mends", async () => {
    await page.locator('[data-value="engine"]').fill("5000");
    await type("board", "launch", "on");
    await page.locator("#pedal").fill("100");
    await type("board", "launch", "off");
    await says("FLOWING");
    await page.locator("#lamps li.lit", { hasText: "nitrous1" }).waitFor({ timeout: LONGEST_MS });
    await page.locator('[data-fault="wire"]').first().locator("[data-thing]").selectOption("fuel");
    await page.locator('[data-fault="wire"]').first().locator("[data-word]").selectOption("open");
    await page.locator('[data-fault="wire"]').first().locator("button").click();
    await says("TRIPPED by SENSOR");
    expect(await page.locator("polyline").count()).toBe(4);
    expect(await page.locator("#held .strip").count()).toBeGreaterThan(0);
    await type("board", "mend");
    await type("board", "line");
    await says("OFF");
    expect(await headline()).not.toContain("TRIPPED");
  });

  test("a closed terminal leaves its flash in the file, and nothing else", async () => {
    board.hangUp();
    await board.ended;
    await says("GONE");
    expect(existsSync(join(folder, "data/practice.json"))).toBe(false);
    expect(readFileSync(join(folder, "flash.bin")).length).toBe(2 * 1024 * 1024);
    const port = /(\S+headgate-\S+\/board)/.exec(board.text)?.[1];
    if (port !== undefined) expect(existsSync(port)).toBe(false);
    board = new Terminal(folder, ["board", "--flash", "flash.bin", "--tcp"]);
    await board.until(/stop it with Ctrl-C/);
    expect((await type("status")).text).toMatch(/in slot A/);
  });
});
