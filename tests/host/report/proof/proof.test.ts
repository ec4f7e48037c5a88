// A proof in words, as JUnit XML and as a page: failures are said, skipped is never passed, nothing is wider than 80 columns.
import { describe, expect, test } from "vitest";
import type { Finding } from "#host/bench/prove/prove.ts";
import { proofJunit } from "#host/report/proof/junit.ts";
import { proofPage } from "#host/report/proof/page.ts";
import { proofLines, rowResults, timeText } from "#host/report/proof/text.ts";
import { paintFor } from "#host/report/terminal/terminal.ts";
import { INTERLOCKS } from "#shared-schema/model/interlocks.ts";

const passed: Finding = {
  row: "WOT",
  fault: "throttle switch open",
  outcome: "passed",
  trials: 4,
  pinsUs: 951.4,
  allowedUs: 2000,
  wrong: [],
};
const failed: Finding = {
  ...passed,
  fault: 'position <low> & "late"',
  outcome: "failed",
  pinsUs: 123_456,
  wrong: ["pins low after 123456 us, allowed 2000 us", "mode is flowing, not armed"],
};
const skipped: Finding = { row: "LEAN", fault: "too lean", outcome: "not enabled", trials: 0, wrong: [] };
const all = [passed, failed, skipped];
const plain = paintFor({ write: () => {} }, {});
const origin = {
  settingsName: "car.yaml",
  settingsHash: "00c0ffee",
  imageVersion: "0.1.0",
  imageHash: "ab".repeat(32),
  date: "2026-05-01",
  partial: false,
};

describe("the table", () => {
  test("has a row for each interlock that was run, none wider than 80 columns", () => {
    const every = INTERLOCKS.map(({ id }) => ({
      ...failed,
      row: id,
      pinsUs: 98_765_432,
      allowedUs: 302_000,
    }));
    const lines = proofLines(every, 80, plain);
    expect(lines.filter((line) => line.length > 80)).toEqual([]);
    for (const { id } of INTERLOCKS) expect(lines.some((line) => line.startsWith(`${id} `))).toBe(true);
    expect(proofLines([passed], 80, plain).some((line) => line.startsWith("LEAN"))).toBe(false);
  });

  test("one failed fault fails its row; what was not tried does not pass", () => {
    const [wot, lean] = ["WOT", "LEAN"].map((id) => rowResults(all).find((row) => row.id === id)!);
    expect([wot!.outcome, wot!.passed, wot!.tried, wot!.pinsUs]).toEqual(["FAILED", 1, 2, 123_456]);
    expect(lean!.outcome).toBe("not enabled");
    expect(proofLines(all, 80, plain).join("\n")).toContain("mode is flowing, not armed");
  });

  test("times have units", () => {
    expect([timeText(0.7), timeText(951.4), timeText(2000), timeText(undefined)]).toEqual([
      "0.7 us",
      "951 us",
      "2.00 ms",
      "-",
    ]);
  });
});

describe("JUnit XML", () => {
  test("counts failures and skipped cases, and keeps words as text", () => {
    const xml = proofJunit(all);
    expect(xml).toContain('<testsuite name="WOT" tests="2" failures="1" errors="0" skipped="0">');
    expect(xml).toContain('<testsuite name="LEAN" tests="1" failures="0" errors="0" skipped="1">');
    expect(xml).toContain("position &lt;low&gt; &amp; &quot;late&quot;");
    const opened = [...xml.matchAll(/<(test\w+)[ >]/g)].map(([, name]) => name);
    const closed = [...xml.matchAll(/<\/(test\w+)>/g)].map(([, name]) => name);
    expect(opened.sort()).toEqual(closed.sort());
  });
});

describe("the page", () => {
  test("names settings, image, date, cautions, and says that it is the emulated board with no certified level", () => {
    const page = proofPage(all, origin);
    for (const text of [
      "00c0ffee",
      origin.imageHash,
      "2026-05-01",
      "emulated board",
      "no certified safety level",
    ])
      expect(page).toContain(text);
    expect(page).toContain("FAILED: do not use");
    expect(proofPage([passed], { ...origin, partial: true })).toContain("for the rows asked for only");
  });
});
