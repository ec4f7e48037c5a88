// Every page in a real browser: phone width, contrast, accessibility, keyboard, paper, and no request to anywhere; the same for each kind.
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import type { Browser, BrowserContextOptions, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { type ControlServer, startControl } from "#host/cli/bench/practice/control-server.ts";
import { controlled } from "#host/cli/bench/practice/start.ts";
import { TestPractice } from "../host/bench/practice/bench.ts";
import { startBrowser } from "../support/browser.ts";
import { writtenPages } from "../support/pages.ts";

const AXE = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const KINDS = [
  "run",
  "review of two runs",
  "proof",
  "plan",
  "build sheet",
  "spread",
  "cards",
  "practice board",
] as const;
/** A4 less the margins that the pages set, in CSS pixels. */
const PAPER_PX = 703;
const PHONE_PX = 360;

const folder = mkdtempSync(join(tmpdir(), "headgate-test-"));
const urls: Record<string, string> = {};
const strangers: string[] = [];
let browser: Browser;
let board: ControlServer;

beforeAll(async () => {
  browser = await startBrowser();
  for (const [kind, html] of Object.entries(await writtenPages())) {
    const path = join(folder, `${kind}.html`);
    writeFileSync(path, html);
    urls[kind] = pathToFileURL(path).href;
  }
  board = await startControl(controlled(new TestPractice()));
  urls["practice board"] = board.url;
}, 300_000);
afterAll(async () => {
  await browser?.close();
  await board?.close();
  rmSync(folder, { recursive: true });
});

/** A page of a kind; what it asks of anybody else, and every error in it, is kept. */
async function open(kind: string, options: BrowserContextOptions = {}): Promise<Page> {
  const home = urls[kind]!;
  const context = await browser.newContext({
    viewport: { width: 1200, height: 900 },
    bypassCSP: true,
    ...options,
  });
  const page = await context.newPage();
  const own = (url: string): boolean =>
    url.split("#")[0] === home || (kind === "practice board" && url.startsWith(home));
  page.on("request", (request) => {
    if (!own(request.url()) && !request.url().startsWith("data:")) strangers.push(request.url());
  });
  page.on("pageerror", (error) => strangers.push(String(error)));
  await page.goto(home);
  if (kind === "practice board") await page.locator("#reasons dt, #lamps li").first().waitFor();
  return page;
}

/** What reaches over a right edge, of all that is not clipped by a plot of its own. */
const BEYOND = `(edge) => [...document.querySelectorAll("body *")].filter((part) => {
  const { right, left, width } = part.getBoundingClientRect();
  return width > 0 && (right > edge + 1 || left < -1) && !part.closest(".track, svg, #held, #reasons");
}).map((part) => part.outerHTML.slice(0, 120))`;

/** Names of lanes that are cut, words that stand partly outside of their bar, numbers over two lines, and the board's reasons where they end in mid-line on paper or on a wide screen. */
const CUT = `(() => {
  const all = (selector) => [...document.querySelectorAll(selector)];
  const box = (part) => part.getBoundingClientRect();
  const over = (part) => part.scrollWidth > part.clientWidth + 1 || part.scrollHeight > part.clientHeight + 1;
  const partly = (words) => {
    const [word, bar] = [box(words), box(words.parentElement)];
    return word.top < bar.bottom - 1 && (word.right > bar.right + 1 || word.left < bar.left - 1);
  };
  const lines = (part) => { const range = document.createRange(); range.selectNodeContents(part); return new Set([...range.getClientRects()].map(({ top }) => Math.round(top))).size; };
  const number = (part) => /^[-+]?[\\d.]+ [\\w/%]+( gauge| absolute)?$/.test(part.textContent);
  const wide = matchMedia("print").matches || innerWidth >= 1200;
  return [
    ...all(".lane .gutter").filter(over),
    ...all(".span b").filter(partly),
    ...all("td").filter((part) => number(part) && lines(part) > 1),
    ...all("#reasons").filter((part) => wide && over(part)),
  ].map((part) => part.outerHTML.slice(0, 120));
})()`;

/** Contrasts under 7 to 1 (WCAG 2.2, relative luminance) of text on its ground, and of lines on every ground that they may cross. */
const LOW_CONTRAST = `(() => {
  const light = (colour) => {
    const [r, g, b] = colour.match(/[\\d.]+/g).slice(0, 3).map((n) => {
      const c = Number(n) / 255;
      return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4;
    });
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const contrast = (one, other) => {
    const [low, high] = [light(one), light(other)].sort((a, b) => a - b);
    return (high + 0.05) / (low + 0.05);
  };
  const seen = (part) => { const box = part.getBoundingClientRect(); return box.width > 0 && box.height > 0 && !part.closest("[disabled]"); };
  const clear = (colour) => colour === "transparent" || /^rgba.*, 0\\)$/.test(colour);
  const groundOf = (part) => { for (let at = part; at; at = at.parentElement) { const { backgroundColor } = getComputedStyle(at); if (!clear(backgroundColor)) return backgroundColor; } return "rgb(255, 255, 255)"; };
  const all = (selector) => [...document.querySelectorAll(selector)].filter(seen);
  const low = [];
  const hold = (part, ground, colour) => { if (contrast(colour, ground) < 7) low.push([part.outerHTML.slice(0, 100), colour, ground, contrast(colour, ground).toFixed(2)].join(" ")); };
  for (const part of all("body *")) {
    if (part.closest("svg, script, style") || ![...part.childNodes].some((node) => node.nodeType === 3 && node.textContent.trim())) continue;
    hold(part, groundOf(part), getComputedStyle(part).color);
  }
  const grounds = [...new Set([getComputedStyle(document.body).backgroundColor, ...all(".flows .span, svg#shares").map((part) => getComputedStyle(part).backgroundColor)])];
  for (const line of all("path.line, path.limit, polyline, svg.key path"))
    for (const ground of grounds) hold(line, ground, getComputedStyle(line).stroke);
  return low;
})()`;

/** All of its rules but that of contrast, which is measured more strictly above. */
async function axeFindings(page: Page): Promise<string[]> {
  await page.addScriptTag({ content: AXE });
  return page.evaluate<
    string[]
  >(`axe.run(document, { resultTypes: ["violations"], rules: { "color-contrast": { enabled: false } } }).then(({ violations }) =>
    violations.map(({ id, nodes }) => id + ": " + nodes.map(({ html }) => html.slice(0, 100)).join(" | ")))`);
}

describe.each(KINDS)("%s", { timeout: 120_000 }, (kind) => {
  test("has no accessibility finding, and nothing in it has less contrast than 7 to 1, in light and dark", async () => {
    const page = await open(kind);
    expect(await axeFindings(page)).toEqual([]);
    for (const colorScheme of ["light", "dark"] as const) {
      await page.emulateMedia({ colorScheme });
      expect(await page.evaluate(LOW_CONTRAST), colorScheme).toEqual([]);
    }
    await page.context().close();
  });

  test("needs no sideways scrolling on a phone", async () => {
    const page = await open(kind, { viewport: { width: PHONE_PX, height: 740 }, hasTouch: true });
    expect(await page.evaluate("document.documentElement.scrollWidth")).toBe(PHONE_PX);
    expect(await page.evaluate(`(${BEYOND})(${PHONE_PX})`)).toEqual([]);
    await page.context().close();
  });

  test("shows every name, word and number whole: none is cut off, and no number parts from its unit", async () => {
    for (const width of [1200, 700, PHONE_PX]) {
      const page = await open(kind, { viewport: { width, height: 900 } });
      expect(await page.evaluate(CUT), `${width} px`).toEqual([]);
      await page.emulateMedia({ media: "print" });
      expect(await page.evaluate(CUT), `${width} px on paper`).toEqual([]);
      await page.context().close();
    }
  });

  test("says first and largest what matters", async () => {
    const page = await open(kind);
    const [largest, first] = await page.evaluate<[string, string]>(`(() => {
      const texts = [...document.querySelectorAll("main *")].filter((part) => [...part.childNodes].some((node) => node.nodeType === 3 && node.textContent.trim()));
      const size = (part) => parseFloat(getComputedStyle(part).fontSize);
      const most = Math.max(...texts.map(size));
      return [texts.find((part) => size(part) === most), texts.find((part) => part.tagName !== "H1")].map((part) => part.className || part.tagName);
    })()`);
    if (["build sheet", "cards"].includes(kind)) expect(largest).toBe("H1");
    else expect(largest).toContain("result");
    if (["run", "review of two runs", "proof", "plan", "spread"].includes(kind)) expect(first).toBe(largest);
    await page.context().close();
  });

  test("is worked by keys: every control is reached in turn and shows that it is, and each chart follows them", async () => {
    const page = await open(kind);
    await page.evaluate(`(() => {
      globalThis.controls = [...document.querySelectorAll("button, .plots, select, input:not([disabled])")];
      globalThis.reached = new Set();
      globalThis.unmarked = [];
      document.addEventListener("focusin", ({ target }) => {
        if (controls.includes(target)) reached.add(target);
        if (parseFloat(getComputedStyle(target).outlineWidth) < 1) unmarked.push(target.outerHTML.slice(0, 100));
      });
    })()`);
    const missed = (): Promise<number> => page.evaluate<number>("controls.length - reached.size");
    for (let left = await missed(), turns = 0; left > 0 && turns < 20; left = await missed(), turns++)
      for (let presses = 0; presses < left; presses++) await page.keyboard.press("Tab");
    expect(await missed()).toBe(0);
    expect(await page.evaluate("unmarked")).toEqual([]);
    for (const plots of await page.locator(".plots").all()) {
      await plots.focus();
      await page.keyboard.press("ArrowRight");
      expect(await plots.locator(".now").textContent()).toMatch(/^-?\d/);
      const views = () => plots.locator(".track > svg").first().getAttribute("viewBox");
      const whole = await views();
      await page.keyboard.press("+");
      expect(await views()).not.toBe(whole);
      await page.keyboard.press("0");
      expect(await views()).toBe(whole);
    }
    await page.context().close();
  });

  test("prints with every axis whole, marks apart, and no table or plot cut where it fits on a sheet", async () => {
    const page = await open(kind);
    await page.setViewportSize({ width: PAPER_PX, height: 1032 });
    await page.emulateMedia({ media: "print" });
    await page.evaluate(`dispatchEvent(new Event("beforeprint"))`);
    if (kind !== "practice board") expect(await page.evaluate(`(${BEYOND})(${PAPER_PX})`)).toEqual([]);
    const cut = await page.evaluate<string[]>(`
      [...document.querySelectorAll("table, tr, .panel, .flags")].filter((part) => getComputedStyle(part).breakInside !== "avoid" && !part.closest(".two")).map((part) => part.className || part.tagName)`);
    expect(cut).toEqual([]);
    const axes = await page.evaluate<[number, number]>(`[
      document.querySelectorAll(".plot").length,
      [...document.querySelectorAll(".plot")].filter((plot) => plot.querySelector(".ticks").getBoundingClientRect().height > 0 && plot.querySelector(".axis-name").getBoundingClientRect().height > 0).length,
    ]`);
    expect(axes[1]).toBe(axes[0]);
    const over = await page.evaluate<string[]>(`[...document.querySelectorAll(".flags")].flatMap((row) => {
      const boxes = [...row.querySelectorAll("a")].filter((flag) => !flag.hidden).map((flag) => [flag.textContent, flag.getBoundingClientRect()]);
      return boxes.flatMap(([words, one], i) => boxes.slice(i + 1).filter(([, two]) => Math.abs(one.top - two.top) < 2 && one.left < two.right && two.left < one.right).map(([other]) => words + " / " + other));
    })`);
    expect(over).toEqual([]);
    const pdf = await page.pdf({ format: "A4", printBackground: true });
    expect(pdf.length).toBeGreaterThan(10_000);
    if (["build sheet", "cards"].includes(kind))
      expect(pdf.toString("latin1").match(/\/Type \/Page\b/g)).toHaveLength(1);
    await page.context().close();
  });
});

test("a line differs from every other of its plot by colour and by dash, and the legend draws it so", async () => {
  for (const kind of ["run", "review of two runs", "plan", "spread"]) {
    const page = await open(kind);
    const alike = await page.evaluate<string[]>(`[...document.querySelectorAll(".plot")].flatMap((plot) => {
      const look = (path) => { const { stroke, strokeDasharray } = getComputedStyle(path); return [stroke, strokeDasharray]; };
      const lines = [...plot.querySelectorAll(".track path.line")].map(look), keys = [...plot.querySelectorAll(".legend svg.key path:not(.limit)")].map(look);
      const same = lines.flatMap((one, i) => lines.slice(i + 1).filter((two) => one[0] === two[0] || one[1] === two[1]));
      return [...same, ...(JSON.stringify(lines) === JSON.stringify(keys) ? [] : [[lines, keys]])].map(String);
    })`);
    expect(alike, kind).toEqual([]);
    await page.context().close();
  }
}, 120_000);

test("no page asked anybody for anything", () => {
  expect(strangers).toEqual([]);
});
