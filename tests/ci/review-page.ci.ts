// The page of a review in a real browser: one cursor and one zoom for all plots, two runs, links, keys.
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import type { Browser, BrowserContextOptions, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { reviewPage } from "#host/report/review/page.ts";
import type { Reviewed } from "#host/report/review/reviewed.ts";
import { startBrowser } from "../support/browser.ts";
import { reviewedRun } from "../support/pages.ts";
import { type Drive, recorded } from "../support/recorded.ts";

const folder = mkdtempSync(join(tmpdir(), "headgate-test-"));
let browser: Browser;

const reviewed = async (name: string, drive: Drive): Promise<Reviewed> =>
  reviewedRun(name, await recorded(drive));

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

let [url, both] = ["", ""];
beforeAll(async () => {
  browser = await startBrowser();
  const one = await reviewed("one.hgrun", { forS: 12, liftS: 3.7 });
  const two = await reviewed("two.hgrun", { forS: 9 });
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
    const plot = page.locator(".plot .track").first();
    await plot.scrollIntoViewIfNeeded();
    const box = (await plot.boundingBox())!;
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
    await expect.poll(() => now(page), { timeout: 30_000 }).toMatch(/^0\.00 s/);
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

  test("a finger sets the cursor", async () => {
    const page = await open(both, { viewport: { width: 360, height: 740 }, hasTouch: true });
    await page
      .locator(".plot .track")
      .first()
      .tap({ position: { x: 100, y: 40 } });
    expect(await now(page)).toMatch(/ m/);
    await page.context().close();
  });

  test("keeps the words of its marks apart, whatever is zoomed", async () => {
    const page = await open(url);
    for (const key of ["0", "+", "+"]) {
      await page.keyboard.press(key);
      const boxes = await page.evaluate<[number, number, string][]>(`
        [...document.querySelectorAll(".flags a")].filter((flag) => !flag.hidden)
          .map((flag) => [flag.getBoundingClientRect().left, flag.getBoundingClientRect().right, flag.style.getPropertyValue("--row")])`);
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
