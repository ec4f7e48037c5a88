// A proof as JUnit XML: a test suite for each row, a test case for each fault; what was not tried is skipped, never passed.
import type { Finding } from "#host/bench/prove/prove.ts";

const ENTITIES: Readonly<Record<string, string>> = { "&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;" };

const escaped = (text: string): string => text.replace(/[&<>"]/g, (c) => ENTITIES[c] ?? c);

function inside({ outcome, wrong }: Finding): string {
  if (outcome === "failed") {
    const [first = "failed"] = wrong;
    return `<failure message="${escaped(first)}">${escaped(wrong.join("\n"))}</failure>`;
  }
  return outcome === "passed" ? "" : `<skipped message="${outcome}"/>`;
}

function caseXml(finding: Finding): string {
  const { row, fault, pinsUs, allowedUs } = finding;
  const times =
    pinsUs === undefined || allowedUs === undefined
      ? ""
      : `<system-out>pins low after ${Math.round(pinsUs)} us, allowed ${Math.round(allowedUs)} us</system-out>`;
  return `    <testcase classname="${escaped(row)}" name="${escaped(fault)}">${inside(finding)}${times}</testcase>\n`;
}

function suiteXml(row: string, findings: readonly Finding[]): string {
  const failures = findings.filter(({ outcome }) => outcome === "failed").length;
  const skipped = findings.filter(({ outcome }) => outcome.startsWith("not")).length;
  const counts = `tests="${findings.length}" failures="${failures}" errors="0" skipped="${skipped}"`;
  return `  <testsuite name="${escaped(row)}" ${counts}>\n${findings.map(caseXml).join("")}  </testsuite>\n`;
}

/** The whole file. */
export function proofJunit(findings: readonly Finding[]): string {
  const rows = [...new Set(findings.map(({ row }) => row))];
  const suites = rows.map((row) =>
    suiteXml(
      row,
      findings.filter((f) => f.row === row),
    ),
  );
  return `<?xml version="1.0" encoding="UTF-8"?>\n<testsuites name="headgate prove">\n${suites.join("")}</testsuites>\n`;
}
