// The fault analysis against the simulated faults: every fault of way 2 has a row, and what a row says is what the simulation found.
import { expect, test } from "vitest";
import { CIRCUIT } from "#shared-schema/circuit/circuit.ts";
import { outcomeOf } from "#shared-schema/generate/circuit-results.ts";
import { faultDoc } from "#shared-schema/generate/fault-doc.ts";
import { PART_FAULTS } from "#shared-schema/model/fault-parts.ts";
import { FAULT_RUNS } from "#shared-schema/model/fault-runs.ts";
import { faultsOf } from "../circuit/faults.ts";
import { readResults } from "../circuit/results.ts";
import { readTimes } from "../circuit/spice/kept.ts";
import { noteText } from "./values.ts";

const { outcomes } = readTimes();
const rowOf = (part: string, failure: string) =>
  PART_FAULTS.find((fault) => fault.part === part && fault.failure === failure);

test("each names a row and faults that were tried", () => {
  const known = new Set(faultsOf(CIRCUIT).map(({ name }) => name));
  for (const [part, failure, faults] of FAULT_RUNS) {
    expect(rowOf(part, failure), `${part}, ${failure}`).toBeDefined();
    expect(faults.filter((fault) => !known.has(fault))).toEqual([]);
  }
});

test("every fault of way 2 that is simulated in time stands behind one row", () => {
  const named = FAULT_RUNS.flatMap(([, , faults]) => faults).filter((fault) => outcomes[fault] !== undefined);
  const simulated = Object.keys(outcomes).filter((fault) => fault !== "whole");
  expect(simulated.length).toBeGreaterThan(45);
  expect(named.sort()).toEqual(simulated.sort());
});

/** What an interlock can notice of way 2, and what nothing notices. */
const NOTICED = [
  "the relay is closed at rest",
  "holds for ever once the pin is stuck high",
  "does not hold: the relay opens",
];

test.each(FAULT_RUNS.filter(([, , faults]) => faults.some((fault) => outcomes[fault])))(
  "%s, %s: an interlock answers where, and only where, the simulated relay does wrong",
  (part, failure, faults) => {
    const { rows } = rowOf(part, failure)!;
    // Open clamps show only once Q2 has broken down.
    if (failure.startsWith("D7, D8")) return expect(rows).toEqual(["RELAY"]);
    for (const fault of faults)
      expect([fault, NOTICED.includes(outcomes[fault]!)]).toEqual([fault, rows.length > 0]);
    const rests = faults.some((fault) => outcomes[fault] === "the relay is closed at rest");
    if (rests && failure !== "R5 open") expect(rows).toContain("RELAY");
  },
);

test("no fault behind a row lets a coil have current with the arm switch off or the processor in reset", () => {
  const exceptions = new Set(readResults().exceptions.map(({ fault }) => fault));
  expect(FAULT_RUNS.flatMap(([, , faults]) => faults).filter((fault) => exceptions.has(fault))).toEqual([]);
  expect(outcomeOf("S1: 1 shorted to 2")).toContain("3.20 A with arm off");
});

test("the page prints each result", () => {
  expect(noteText("fault-analysis.md")).toBe(faultDoc());
  for (const [, , faults] of FAULT_RUNS)
    for (const fault of faults) expect(faultDoc()).toContain(outcomeOf(fault));
});
