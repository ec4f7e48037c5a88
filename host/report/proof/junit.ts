// A proof as JUnit XML: a test suite for each row, a test case for each fault; what was not tried is skipped, never passed.
import type { Finding } from "#host/bench/prove/prove.ts";
import { outcomeOf } from "./rows.ts";
import type { ProofVerdict } from "./verdict.ts";

const ENTITIES: Readonly<Record<string, string>> = { "&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;" };

const escaped = (text: string): string => text.replace(/[&<>"]/g, (c) => ENTITIES[c] ?? c);

function inside(finding: Finding): string {
  const { wrong } = finding;
  const outcome = outcomeOf(finding);
  if (outcome === "failed") {
    const [first = "failed"] = wrong;
    return `<failure message="${escaped(first)}">${escaped(wrong.join("\n"))}</failure>`;
  }
  return outcome === "passed" ? "" : `<skipped message="${outcome}"/>`;
}

function caseXml(finding: Finding): string {
  const { row, fault, pinsUs, allowedUs, atPart } = finding;
  const said = [
    ...(atPart ? ["shown only at part of the flow"] : []),
    ...(pinsUs === undefined || allowedUs === undefined
      ? []
      : [`pins low after ${Math.round(pinsUs)} us, allowed ${Math.round(allowedUs)} us`]),
  ];
  const out = said.length > 0 ? `<system-out>${said.join("; ")}</system-out>` : "";
  return `    <testcase classname="${escaped(row)}" name="${escaped(fault)}">${inside(finding)}${out}</testcase>\n`;
}

function property(name: string, value: string): string {
  return `    <properties><property name="${name}" value="${escaped(value)}"/></properties>\n`;
}

function suiteXml(row: string, word: string, findings: readonly Finding[]): string {
  const failures = findings.filter(({ outcome }) => outcome === "failed").length;
  const skipped = findings.filter((finding) => outcomeOf(finding).startsWith("not")).length;
  const counts = `tests="${findings.length}" failures="${failures}" errors="0" skipped="${skipped}"`;
  const cases = findings.map(caseXml).join("");
  return `  <testsuite name="${escaped(row)}" ${counts}>\n${property("outcome", word)}${cases}  </testsuite>\n`;
}

/** The whole as a test case of its own, so that a build server does not show skipped faults as a success. */
function certificateXml({ word, sentence }: ProofVerdict): string {
  const proved = word === "PROVED";
  const failure = proved ? "" : `<failure message="${escaped(sentence)}"/>`;
  const counts = `tests="1" failures="${proved ? 0 : 1}" errors="0" skipped="0"`;
  return `  <testsuite name="certificate" ${counts}>\n${property("verdict", sentence)}    <testcase classname="certificate" name="${word}">${failure}</testcase>\n  </testsuite>\n`;
}

/** The whole file. */
export function proofJunit(findings: readonly Finding[], verdict: ProofVerdict): string {
  const suites = verdict.rows.map(({ id, outcome }) =>
    suiteXml(
      id,
      outcome,
      findings.filter((f) => f.row === id),
    ),
  );
  return `<?xml version="1.0" encoding="UTF-8"?>\n<testsuites name="headgate prove">\n${certificateXml(verdict)}${suites.join("")}</testsuites>\n`;
}
