// A proof in words, as JUnit XML and as a page: failures are said, skipped is never passed, nothing is wider than 80 columns.
import { describe, expect, test } from "vitest";
import type { Finding } from "#host/bench/prove/prove.ts";
import { proofJunit } from "#host/report/proof/junit.ts";
import { proofPage } from "#host/report/proof/page.ts";
import { rowResults } from "#host/report/proof/rows.ts";
import { proofLines, timeText } from "#host/report/proof/text.ts";
import { notCovered, verdictOf } from "#host/report/proof/verdict.ts";
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
const skipped: Finding = { row: "LEAN", fault: "too lean", outcome: "not fitted", trials: 0, wrong: [] };
const hidden: Finding = { ...skipped, row: "WOT", fault: "welded", outcome: "not shown" };
const all = [passed, failed, skipped];
/** Every row passed, but for what replaces it. */
const whole = (...instead: Finding[]): Finding[] => [
  ...INTERLOCKS.map(({ id }) => ({ ...passed, row: id })).filter(
    ({ row }) => !instead.some((other) => other.row === row),
  ),
  ...instead,
];
const plain = paintFor({ write: () => {} }, {});
const origin = {
  settingsName: "car.yaml",
  settingsHash: "00c0ffee",
  settingsText: "# a comment\n\nstages: <here>\n  # another\n",
  imageVersion: "0.1.0",
  imageHash: "ab".repeat(32),
  date: "2026-05-01",
  cautions: [],
};

describe("the table", () => {
  test("has a row for each interlock that was run, none wider than 80 columns", () => {
    const every = INTERLOCKS.map(({ id }) => ({
      ...failed,
      row: id,
      pinsUs: 98_765_432,
      allowedUs: 302_000,
    }));
    const lines = proofLines(every, verdictOf(every), 80, plain);
    expect(lines.filter((line) => line.length > 80)).toEqual([]);
    for (const { id } of INTERLOCKS) expect(lines.some((line) => line.startsWith(`${id} `))).toBe(true);
    expect(proofLines([passed], verdictOf([passed]), 80, plain).some((line) => line.startsWith("LEAN"))).toBe(
      false,
    );
  });

  test("one failed fault fails its row; what was not tried does not pass", () => {
    const [wot, lean] = ["WOT", "LEAN"].map((id) => rowResults(all).find((row) => row.id === id)!);
    expect([wot!.outcome, wot!.passed, wot!.fitted, wot!.pinsUs]).toEqual(["FAILED", 1, 2, 123_456]);
    expect(lean!.outcome).toBe("not fitted");
    expect(proofLines(all, verdictOf(all), 80, plain).join("\n")).toContain("mode is flowing, not armed");
  });

  test("what is not fitted, and what was not shown, stands on top", () => {
    const findings = [passed, hidden, skipped];
    const [first, second] = proofLines(findings, verdictOf(findings), 80, plain);
    expect(first).toBe("Not fitted, so nothing is proved of: LEAN.");
    expect(second).toBe("Fitted, but not shown at the pins: WOT (welded).");
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

describe("the verdict", () => {
  test.each<[string, Finding[], string[] | undefined, string]>([
    ["all rows shown", whole(), undefined, "PROVED"],
    ["a row that is not fitted", whole(skipped), undefined, "PROVED"],
    ["a fault that is fitted and not shown", whole(passed, hidden), undefined, "PARTLY PROVED"],
    ["no fault of a fitted row shown", whole(hidden), undefined, "PARTLY PROVED"],
    ["a row without any fault tried", whole().slice(1), undefined, "PARTLY PROVED"],
    ["one that failed", whole(failed), undefined, "FAILED"],
    ["nothing fitted", [skipped], undefined, "NOTHING PROVED"],
    ["nothing at all", [], undefined, "NOTHING PROVED"],
    ["passed without a trial", [{ ...passed, trials: 0 }], ["WOT"], "NOTHING PROVED"],
    ["a selection", [passed], ["WOT"], "PROVED"],
    ["a selection with a row that is not fitted", [passed, skipped], ["WOT", "LEAN"], "PARTLY PROVED"],
    ["a selection that is not fitted at all", [skipped], ["LEAN"], "NOTHING PROVED"],
  ])("%s", (_, findings, only, word) => {
    const verdict = verdictOf(findings, only);
    expect(verdict.word).toBe(word);
    expect(verdict.sentence.startsWith(`${word}: `)).toBe(true);
    expect(verdict.sentence.includes("nothing is proved of the others")).toBe(only !== undefined);
    expect(verdict.sentence.includes("these settings fit was shown")).toBe(!only && word === "PROVED");
    expect(notCovered(verdict).some((text) => text.includes("OVERBOOST"))).toBe(only !== undefined);
    const page = proofPage(findings, verdict, origin);
    const xml = proofJunit(findings, verdict);
    expect(page).toContain(verdict.sentence);
    expect(xml).toContain(`name="${word}"`);
    expect(/testcase classname="certificate" name="[A-Z ]+"><failure/.test(xml)).toBe(word !== "PROVED");
  });

  test("a row with fitted faults that were not shown is partly, in every form", () => {
    const findings = [passed, hidden];
    const verdict = verdictOf(findings, ["WOT"]);
    expect(verdict.rows.map(({ outcome, passed, fitted }) => [outcome, passed, fitted])).toEqual([
      ["partly", 1, 2],
    ]);
    expect(proofLines(findings, verdict, 80, plain).some((line) => /^WOT +hold-off +partly/.test(line))).toBe(
      true,
    );
    expect(proofPage(findings, verdict, origin)).toMatch(/<td[^>]*>partly<\/td>/);
    expect(proofJunit(findings, verdict)).toContain('<property name="outcome" value="partly"/>');
  });
});

test("a fault that showed only at part of the flow is called so in every form", () => {
  const says = (finding: Finding): boolean[] => {
    const verdict = verdictOf([finding], ["WOT"]);
    const forms = [
      proofPage([finding], verdict, origin),
      proofJunit([finding], verdict),
      proofLines([finding], verdict, 80, plain).join("\n"),
    ];
    return forms.map((form) => /only at part of the\s+flow/.test(form));
  };
  expect(says({ ...passed, atPart: true })).toEqual([true, true, true]);
  expect(says(passed)).toEqual([false, false, false]);
});

test("the page names what failed before anything else, and counts what it does not name there", () => {
  const page = proofPage(all, verdictOf(all), origin);
  const named = page.indexOf(
    "FAILED WOT, position &lt;low&gt; &amp; &quot;late&quot;: pins low after 123456 us",
  );
  expect(named).toBeGreaterThan(page.indexOf('class="result"'));
  expect(named).toBeLessThan(page.indexOf("<table"));
  const many = Array.from({ length: 8 }, () => failed);
  expect(proofPage(many, verdictOf(many), origin)).toContain(
    "3 more failed: see &quot;Fault by fault&quot;.",
  );
});

describe("JUnit XML", () => {
  test("counts failures and skipped cases, and keeps words as text", () => {
    const xml = proofJunit(all, verdictOf(all));
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
    const page = proofPage(all, verdictOf(all), origin);
    for (const text of [
      "00c0ffee",
      origin.imageHash,
      "2026-05-01",
      "emulated board",
      "no certified safety level",
      "<pre>stages: &lt;here&gt;</pre>",
      "signature",
    ])
      expect(page).toContain(text);
    expect(page).toContain("FAILED: do not use");
  });
});
