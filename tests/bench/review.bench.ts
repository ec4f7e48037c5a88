// The page of a review of half a minute: how large it is, and how long Chromium takes from opening it to having drawn it.
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import type { Page } from "playwright-core";
import { originOf } from "#host/logbook/origin.ts";
import { runOf } from "#host/logbook/runs.ts";
import { reviewPage } from "#host/report/review/page.ts";
import type { Reviewed } from "#host/report/review/reviewed.ts";
import { startBrowser } from "../support/browser.ts";
import { recorded } from "../support/recorded.ts";
import type { Row } from "./row.ts";

const RUN_S = 27;
const LOADS = 11;

async function pageOf(): Promise<{ html: string; seconds: number; ms: number }> {
  const { entry, file } = await recorded({ forS: RUN_S });
  const { samples, settingsCrc, run } = runOf(file.pages);
  const { settings } = entry;
  const more = { facts: file.facts, note: undefined, car: undefined, lacks: [] };
  const origin = originOf(samples, settings);
  const one: Reviewed = { name: "run.hgrun", run, samples, settings, settingsCrc, origin, ...more };
  const start = performance.now();
  const html = reviewPage("time", one);
  return { html, seconds: samples.at(-1)!.time! - samples[0]!.time!, ms: performance.now() - start };
}

/** What one opening took: wall time to the second frame, and processor time of the page's main thread. */
interface Drawn {
  readonly wallMs: number;
  readonly threadMs: number;
}

const FRAMES =
  "new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(() => done(performance.now()))))";

async function openings(page: Page, url: string): Promise<Drawn[]> {
  const session = await page.context().newCDPSession(page);
  await session.send("Performance.enable", { timeDomain: "threadTicks" });
  const busyS = async (): Promise<number> => {
    const { metrics } = await session.send("Performance.getMetrics");
    return metrics.find(({ name }) => name === "TaskDuration")!.value;
  };
  const all: Drawn[] = [];
  for (let i = 0; i < LOADS; i++) {
    await page.goto("about:blank");
    const before = await busyS();
    await page.goto(url);
    const wallMs = await page.evaluate<number>(FRAMES);
    all.push({ wallMs, threadMs: 1000 * ((await busyS()) - before) });
  }
  return all;
}

/** Medians of several openings. */
async function drawn(html: string): Promise<Drawn> {
  const folder = mkdtempSync(join(tmpdir(), "headgate-"));
  writeFileSync(join(folder, "run.html"), html);
  const browser = await startBrowser();
  try {
    const page = await browser.newPage({ viewport: { width: 1200, height: 900 } });
    const all = await openings(page, pathToFileURL(join(folder, "run.html")).href);
    const median = (of: (one: Drawn) => number): number => all.map(of).sort((a, b) => a - b)[LOADS >> 1]!;
    return { wallMs: median(({ wallMs }) => wallMs), threadMs: median(({ threadMs }) => threadMs) };
  } finally {
    await browser.close();
    rmSync(folder, { recursive: true });
  }
}

/** Needs Chromium. */
export async function run(): Promise<Row[]> {
  const { html, seconds, ms } = await pageOf();
  const { wallMs, threadMs } = await drawn(html);
  return [
    { name: "length of the reviewed run", value: seconds, unit: "s" },
    { name: "its page, made", value: ms, unit: "ms" },
    { name: "its page, size", value: html.length / 1e6, unit: "MB", aim: "under 1.5" },
    {
      name: "its page, opened and drawn in Chromium",
      value: wallMs,
      unit: "ms",
      aim: "under 300",
    },
    { name: "the same, processor time of its main thread", value: threadMs, unit: "ms" },
  ];
}
