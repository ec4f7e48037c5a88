// The page of a review in a real browser: one cursor and one zoom for all plots, two runs, links, keys, a phone, dark, paper, contrast.
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import type { Browser, BrowserContextOptions, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { originOf } from "#host/logbook/origin.ts";
import { runOf } from "#host/logbook/runs.ts";
import { reviewPage } from "#host/report/review/page.ts";
import type { Reviewed } from "#host/report/review/reviewed.ts";
import { startBrowser } from "../support/browser.ts";
import { type Drive, recorded } from "../support/recorded.ts";

const folder = mkdtempSync(join(tmpdir(), "headgate-test-"));
let browser: Browser;

async function reviewed(name: string, drive: Drive): Promise<Reviewed> {
  const { entry, file } = await recorded(drive);
  const { samples, settingsCrc, run } = runOf(file.pages);
  const { settings } = entry;
  const more = { facts: file.facts, note: undefined, car: undefined, lacks: [] };
  return { name, run, samples, settings, settingsCrc, origin: originOf(samples, settings), ...more };
}

function urlOf(name: string, html: string): string {
  const path = join(folder, name);
  writeFileSync(path, html);
  return pathToFileURL(path).href;
}

/** Opens a page; every request but that of the file itself, and every error, fails the test. */
async function open(url: string, options: BrowserContextOptions = {}): Promise<Page> {
  const context = await browser.newContext({ viewport: { width: 1200, height: 900 }, ...options });
  const page = await context.newPage();
  page.on("request", (request) => expect(request.url().split("#")[0]).toBe(url.split("#")[0]));
  page.on("pageerror", (error) => expect(error.message).toBe(""));
  await page.goto(url);
  return page;
}

/** Places of the cursor in every plot and lane, px. */
const cursors = (page: Page): Promise<number[]> =>
  page
    .locator(".track .cursor")
    .evaluateAll((all) => all.map((one) => Math.round(one.getBoundingClientRect().x)));
/** Place and span of every plot's view. */
async function boxes(page: Page): Promise<string[]> {
  const views = page.locator(".track > svg");
  const count = await views.count();
  const all = Array.from({ length: count }, async (_, i) =>
    (await views.nth(i).getAttribute("viewBox"))!.split(" "),
  );
  return (await Promise.all(all)).map(([from, , span]) => `${from} ${span}`);
}
const now = (page: Page): Promise<string> => page.locator(".now").textContent().then(String);

/** The least contrast (WCAG 2.2, relative luminance) of text on its ground, of text in bars, and of lines on ground and bands. */
const WORST_CONTRAST = `(() => {
  const light = (colour) => {
    const [r, g, b] = colour.match(/\\d+/g).slice(0, 3).map((n) => {
      const c = Number(n) / 255;
      return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4;
    });
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const contrast = (one, other) => {
    const [low, high] = [light(one), light(other)].sort((a, b) => a - b);
    return (high + 0.05) / (low + 0.05);
  };
  const styles = (selector) => [...document.querySelectorAll(selector)].map((part) => getComputedStyle(part));
  const body = getComputedStyle(document.body);
  const grounds = [body, ...styles(".flows .span")].map((style) => style.backgroundColor);
  const strokes = styles("path.line, path.limit").map((style) => style.stroke);
  const inBars = styles(".lane .span").map((style) => contrast(style.color, style.backgroundColor));
  const lines = strokes.flatMap((stroke) => grounds.map((ground) => contrast(stroke, ground)));
  return Math.min(...inBars, ...lines, contrast(body.color, body.backgroundColor));
})()`;

let [url, both] = ["", ""];
beforeAll(async () => {
  browser = await startBrowser();
  const one = await reviewed("one.hgrun", { forS: 27, liftS: 3.7 });
  const two = await reviewed("two.hgrun", {});
  url = urlOf("one.html", reviewPage("time", one));
  both = urlOf("both.html", reviewPage("distance", one, two));
}, 120_000);
afterAll(async () => {
  await browser.close();
  rmSync(folder, { recursive: true });
});

describe("a review page", { timeout: 120_000 }, () => {
  test("moves one cursor over all plots, by mouse and by keys, and says what it stands on", async () => {
    const page = await open(url);
    const plot = page.locator(".plot .track").first();
    await plot.hover({ position: { x: 300, y: 40 } });
    const places = await cursors(page);
    expect(new Set(places).size).toBe(1);
    expect(places.length).toBeGreaterThan(15);
    const before = Number.parseFloat(await now(page));
    await page.keyboard.press("ArrowRight");
    expect(Number.parseFloat(await now(page))).toBeCloseTo(before + 0.01, 6);
    await page.keyboard.press("Shift+ArrowLeft");
    expect(Number.parseFloat(await now(page))).toBeCloseTo(before - 0.09, 6);
    const values = await page.locator("output[data-digits]").allInnerTexts();
    expect(values.every((value) => /^(-|-?\d+(\.\d+)?)$/.test(value))).toBe(true);
    await page.context().close();
  });

  test("zooms all plots together, by dragging and by keys, and back to the whole run", async () => {
    const page = await open(url);
    const whole = await boxes(page);
    const box = (await page.locator(".plot .track").first().boundingBox())!;
    await page.mouse.move(box.x + 200, box.y + 50);
    await page.mouse.down();
    await page.mouse.move(box.x + 400, box.y + 50, { steps: 4 });
    await page.mouse.up();
    const zoomed = await boxes(page);
    expect(new Set(zoomed).size).toBe(1);
    const span = (view: string): number => Number(view.split(" ")[1]);
    expect(span(zoomed[0]!) / span(whole[0]!)).toBeCloseTo(200 / box.width, 2);
    await page.keyboard.press("+");
    expect(span((await boxes(page))[0]!)).toBeCloseTo(span(zoomed[0]!) / 2, 0);
    await page.keyboard.press("0");
    expect(await boxes(page)).toEqual(whole);
    await page.context().close();
  });

  test("opens at a moment by its link, and its marks are such links", async () => {
    const page = await open(`${url}#t=3.50`);
    expect(await now(page)).toMatch(/^3\.50 s: /);
    await page
      .locator("ol.story a", { hasText: /^0\.00 s$/ })
      .first()
      .click();
    expect(await now(page)).toMatch(/^0\.00 s/);
    await page.keyboard.press("n");
    expect(Number.parseFloat(await now(page))).toBeGreaterThan(0);
    await page.waitForFunction('location.hash !== "#t=0.00"');
    expect(page.url()).toMatch(/#t=\d+\.\d\d$/);
    await page.context().close();
  });

  test("lays a second run over the first by distance, told apart by colour and dash, with the differences", async () => {
    const page = await open(`${both}#d=100`);
    expect(await now(page)).toMatch(/^100\.00 m/);
    const looks = await page.evaluate<[string, string][]>(`
      [...document.querySelector(".plot").querySelectorAll("path.line")].map((path) => {
        const { stroke, strokeDasharray } = getComputedStyle(path);
        return [stroke, strokeDasharray];
      })`);
    expect(looks).toHaveLength(2);
    expect(looks[0]![0]).not.toBe(looks[1]![0]);
    expect(looks[0]![1]).not.toBe(looks[1]![1]);
    expect(
      await page.locator(".plot", { hasText: "Difference: time" }).locator("output").textContent(),
    ).toMatch(/^-?\d/);
    await page.context().close();
  });

  test("is as wide as a phone, and still no wider on paper, with an axis under every plot there", async () => {
    const page = await open(both, { viewport: { width: 360, height: 740 }, hasTouch: true });
    const width = (): Promise<number> => page.evaluate<number>("document.documentElement.scrollWidth");
    expect(await width()).toBe(360);
    await page
      .locator(".plot .track")
      .first()
      .tap({ position: { x: 100, y: 40 } });
    expect(await now(page)).toMatch(/ m/);
    await page.emulateMedia({ media: "print" });
    await page.setViewportSize({ width: 700, height: 1000 });
    expect(await width()).toBe(700);
    const cut = await page.locator(".plot").evaluateAll((all) =>
      all.filter((plot) => {
        const inside = [...plot.querySelectorAll(".gutter span, .ticks .at, .track")];
        return inside.some(
          (part) => part.getBoundingClientRect().left < 0 || part.getBoundingClientRect().right > 712,
        );
      }),
    );
    expect(cut).toHaveLength(0);
    expect(await page.locator(".plot .ticks").first().isVisible()).toBe(true);
    expect(await page.locator(".bar-of-tools").isVisible()).toBe(false);
    const pdf = await page.pdf({ format: "A4", printBackground: true });
    expect(pdf.subarray(0, 5).toString()).toBe("%PDF-");
    await page.context().close();
  });

  test.each(["light", "dark"] as const)(
    "keeps a contrast of 7 to 1 in %s, text and lines, over bands too",
    async (colorScheme) => {
      const page = await open(both, { colorScheme });
      const worst = await page.evaluate<number>(WORST_CONTRAST);
      expect(worst).toBeGreaterThanOrEqual(7);
      await page.context().close();
    },
  );

  test("keeps the words of its marks apart, whatever is zoomed", async () => {
    const page = await open(url);
    for (const key of ["0", "+", "+"]) {
      await page.keyboard.press(key);
      const boxes = await page.evaluate<[number, number, string][]>(`
        [...document.querySelectorAll(".flags a")].filter((flag) => !flag.hidden && flag.style.getPropertyValue("--row") < 4)
          .map((flag) => [flag.offsetLeft, flag.offsetLeft + flag.offsetWidth, flag.style.getPropertyValue("--row")])`);
      for (const [left, right, row] of boxes)
        expect(boxes.filter(([l, r, other]) => other === row && l < right && left < r)).toHaveLength(1);
    }
    await page.context().close();
  });

  test("shows the whole run without a script", async () => {
    const page = await open(url, { javaScriptEnabled: false });
    expect(await page.locator(".plot path.line").count()).toBeGreaterThan(8);
    expect(await page.locator(".foot .ticks .at").count()).toBeGreaterThan(3);
    await page.context().close();
  });
});
