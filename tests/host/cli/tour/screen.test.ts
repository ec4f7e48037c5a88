// The last screen of a tour: it fits a terminal of 80x24, and its three numbers are those of the run. CI makes the whole tour.
import { PassThrough } from "node:stream";
import { expect, test } from "vitest";
import { findings } from "#host/bench/findings.ts";
import type { Finding } from "#host/bench/prove/prove.ts";
import { Session } from "#host/cli/session.ts";
import { endScreen, numbersOf, shutUs, type Toured } from "#host/cli/tour/screen.ts";
import { planStep, SHORT_SET } from "#host/cli/tour/steps.ts";
import { originOf } from "#host/logbook/origin.ts";
import { runOf } from "#host/logbook/runs.ts";
import { supplyOf } from "#host/plan/run/supply.ts";
import { verdictOf } from "#host/report/proof/verdict.ts";
import { recorded } from "../../../support/recorded.ts";

const stream = new PassThrough();
const io = { stdin: stream, stdout: stream, stderr: stream, env: {}, cwd: process.cwd() };
const planned = await planStep(new Session(io as never));
const { input, plan, settings } = planned;
const supply = supplyOf(input, plan, settings);
const { driven, file } = await recorded({}, { settings, plan, supply, car: input.car, driver: input.driver });
const { samples, settingsCrc } = runOf(file.pages);
const toured: Toured = {
  planned,
  verdict: verdictOf([] as Finding[], SHORT_SET),
  driven: { run: driven, found: findings(driven, settings) },
  reviewed: {
    ...{
      name: "run.hgrun",
      run: 1,
      samples,
      settings,
      settingsCrc,
      facts: file.facts,
      note: undefined,
      lacks: [],
    },
    origin: originOf(samples, settings),
    car: { name: input.name, data: input.car, supply, plannedKg: plan.bottle.usedKg },
  },
};

test("fits 80x24", () => {
  const lines = endScreen(toured, "headgate-tour", 80);
  expect(lines.length).toBeLessThan(24);
  for (const line of lines) expect(line.length).toBeLessThanOrEqual(80);
  expect(lines.join("\n")).toContain("headgate-tour/review.html");
});

test("has the run's own numbers: its quarter mile, how fast all shut, and the nitrous that log and bottle agree on", () => {
  const { quarterS, logKg, drawnKg } = numbersOf(toured);
  expect(quarterS).toBe(driven.slip.quarter?.timeS);
  expect(Math.abs(logKg! / drawnKg - 1)).toBeLessThan(0.03);
  expect(shutUs(toured.driven)).toBeGreaterThanOrEqual(0);
  expect(endScreen(toured, "x", 80).join("\n")).toContain(`${quarterS!.toFixed(2)} s  quarter mile`);
});

test("a pin that stays high, or a quarter mile that is not reached, is no number", () => {
  const { found, run } = toured.driven;
  const shuts = found.shuts.map((shut) => ({ ...shut, stillHigh: true }));
  const worse = { ...toured, driven: { found: { ...found, shuts }, run: { ...run, slip: {} as never } } };
  expect(shutUs(worse.driven)).toBeUndefined();
  expect(
    endScreen(worse, "x", 80)
      .join("\n")
      .match(/not reached/g),
  ).toHaveLength(2);
});
