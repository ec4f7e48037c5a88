// Driver and way 2 in time: the kept rows fit the circuit, agree with formulas and with the pump's own model, and a worse circuit shows.
import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { CIRCUIT } from "#shared-schema/circuit/circuit.ts";
import type { Values } from "#shared-schema/circuit/graph.ts";
import { faultsOf } from "../circuit/faults.ts";
import type { DeadTimes } from "../circuit/spice/dead.ts";
import type { DriverTimes } from "../circuit/spice/driver.ts";
import {
  endsLate,
  keptOf,
  type PumpOutcome,
  pumpFaults,
  pumpOutcome,
  readTimes,
  TIMES_PAGE,
  timesHash,
} from "../circuit/spice/kept.ts";
import { timesPage } from "../circuit/spice/page.ts";
import { type PumpTimes, pumpTimes } from "../circuit/spice/pump.ts";
import { jobsOf, type Row, solveJob } from "../circuit/spice/times.ts";
import { ALL } from "../support/effort.ts";
import { all, leaveOut, move } from "./mistakes.ts";
import { letsGo, NOMINAL } from "./pump.ts";
import { noteText, value } from "./values.ts";

const times = readTimes();
const jobs = jobsOf(CIRCUIT, value);
const EVERY = ALL ? 9 : 283;

const driver = (name: string): Row & DriverTimes =>
  times.rows.find((row) => row.name === `driver, ${name}`) as Row & DriverTimes;
const way2 = (name: string): Row & PumpTimes =>
  times.rows.find((row) => row.name === `way 2, ${name}`) as Row & PumpTimes;
const ratio = (a: number | undefined, b: number): number => Math.abs(Number(a) / b - 1);

describe("the kept rows", () => {
  test("are those of this circuit, these values and these models: else run `npm run circuit`", () => {
    expect(times.hash).toBe(timesHash(CIRCUIT, value));
    expect(times.rows.map(({ name }) => name)).toEqual(jobs.map(({ name }) => name));
  });

  test("make the page, and the outcomes of way 2", () => {
    expect(times).toEqual(keptOf(CIRCUIT, times.rows, value));
    expect(readFileSync(TIMES_PAGE, "utf8")).toBe(timesPage(times, value));
  });

  test("come out again: a sample", async () => {
    for (const [i, job] of jobs.entries()) {
      if (i % EVERY !== 0) continue;
      const [kept, again] = [times.rows[i]!, await solveJob(job, value)];
      expect(Object.keys(again)).toEqual(Object.keys(kept));
      for (const [key, number] of Object.entries(kept))
        if (typeof number === "number" && Math.abs(number) > 1e-4)
          expect([job.name, key, ratio(again[key as never], number) < 0.03]).toEqual([job.name, key, true]);
    }
  });
});

describe("by other ways", () => {
  const usual = driver("4 ohm, 30 mH, 20 Hz");
  const low = driver("1.5 ohm, 8 mH, 20 Hz");

  test("releases are those of the formula for a clamp of constant voltage, within 6 %", () => {
    expect(ratio(usual.releaseS, value("clamp.release-24"))).toBeLessThan(0.06);
    expect(ratio(driver("D101: A shorted to K").releaseS, value("clamp.release-diode"))).toBeLessThan(0.06);
  });

  test("heat of a clamp is what the page computes, within 12 %: the coil has not settled in a pulse", () => {
    expect(ratio(usual.suppressorW, value("clamp.power"))).toBeLessThan(0.12);
    expect(ratio(low.suppressorW, value("clamp.power-low"))).toBeLessThan(0.12);
    expect(ratio(driver("1.5 ohm, 8 mH, 40 Hz").suppressorW, value("clamp.power-low-40"))).toBeLessThan(0.12);
  });

  test("the peak is under the checklist's limit for every coil and frequency", () => {
    for (const row of times.rows.filter(({ name }) => /^driver.* Hz$/.test(name)) as (Row & DriverTimes)[])
      expect(row.peakV).toBeLessThan(value("clamp.drain-limit"));
  });

  test("the pump lets go as in its own model, and the coil as by the formula, together within 8 %", () => {
    const sum = letsGo(NOMINAL, 1e-3, value("pump.off-current")) + value("relay.decay");
    expect(ratio(way2("whole, edges then low").releaseS, sum)).toBeLessThan(0.08);
    expect(ratio(way2("whole, edges then high").releaseS, sum)).toBeLessThan(0.08);
  });
});

const FINE = "works on, and lets go in time";
const LATER = "lets go later, in the time stated for a single fault";
const WEAK = "does not hold: the relay opens";
/** Rows of the table of single faults that are about way 2 in time. */
const TABLE: readonly (readonly [row: string, outcome: PumpOutcome, faults: readonly string[]])[] = [
  ["R5 or the gate of Q2 open", "the relay is closed at rest", ["R5: 1 open", "Q2: G open"]],
  ["R3 or R9 open", LATER, ["R3: 1 open", "R9: 1 open"]],
  ["C1 shorted", "the relay is closed at rest", ["C1: 1 shorted to 2"]],
  ["C2 shorted", "holds for ever once the pin is stuck high", ["C2: 1 shorted to 2"]],
  [
    "C1 or C2 open, D1 or D3 open or shorted, D2 or D4 open",
    WEAK,
    ["C1: 1 open", "C2: 1 open", "D1: A open", "D3: A shorted to K", "D2: A open", "D4: A open"],
  ],
  ["R1, R2, R4 open, C3 shorted", WEAK, ["R1: 1 open", "R2: 1 open", "R4: 1 open", "C3: 1 shorted to 2"]],
  ["D2 or D4 shorted", FINE, ["D2: A shorted to K", "D4: A shorted to K"]],
  ["C3 open", FINE, ["C3: 1 open"]],
  [
    "R1, R2 or R4 shorted, D6 open",
    FINE,
    ["R1: 1 shorted to 2", "R2: 1 shorted to 2", "R4: 1 shorted to 2", "D6: A open"],
  ],
  ["R3, R9 or D8 shorted", WEAK, ["R3: 1 shorted to 2", "R9: 1 shorted to 2"]],
  ["D7 or D9 shorted", FINE, ["D7: A shorted to K", "D9: A shorted to K"]],
  ["D7, D8 or D9 open", FINE, ["D7: A open", "D8: A open", "D9: A open"]],
];

describe("single faults of way 2", () => {
  const outcomes = new Map(
    pumpFaults(times.rows).map((fault) => [fault, pumpOutcome(times.rows, fault, value)]),
  );
  const those = (outcome: string): string[] =>
    [...outcomes].filter(([, one]) => one === outcome).map(([fault]) => fault);

  test("the whole circuit holds, lets go in time, and never pulls the relay in for as long as one takes to close", () => {
    expect(outcomes.get("whole")).toBe("works on, and lets go in time");
    for (const level of ["low", "high"])
      expect(way2(`whole, ${level}`).releaseS).toBeLessThan(value("relay.operate"));
  });

  test("none lets go late; one of the two bleeders open takes the longer time that is stated", () => {
    expect(those("lets go late")).toEqual([]);
    expect(those(LATER)).toEqual(["R3: 1 open", "R9: 1 open"]);
  });

  test("with one bleeder and one suppressor, as it once was, two let go late", async () => {
    const former = all(leaveOut("R9", "D9"), move("D7.A", "pump.clamp"));
    const once: Values = (key) =>
      key === "pump.bleed" ? value(key) / 2 : key === "relay.clamp" ? value("clamp.voltage") : value(key);
    for (const name of ["R3: 1 open", "D7: A shorted to K"]) {
      const fault = faultsOf(former(CIRCUIT)).find((one) => one.name === name)!;
      const { releaseS } = await pumpTimes(former(CIRCUIT), "edges then low", once, fault);
      expect(releaseS, name).toBeGreaterThan(value("pump.release-one-bleed") + value("relay.decay"));
    }
  });

  test("what holds for ever is found before arming: at rest, or by the level at which the self-test stops", () => {
    expect(those("holds for ever once the pin is stuck high")).toEqual(["C2: 1 shorted to 2"]);
    expect(those("the relay is closed at rest")).toEqual([
      "C1: 1 shorted to 2",
      "Q1: B shorted to C",
      "Q1: C shorted to E",
      "R5: 1 open",
      "Q2: G open",
      "Q2: G shorted to D",
      "Q2: S shorted to D",
    ]);
  });

  test.each(TABLE)("the table's row %s", (row, outcome, faults) => {
    expect(noteText("two-ways-to-off.md")).toContain(`| ${row} `);
    expect(faults.map((fault) => [fault, outcomes.get(fault)])).toEqual(
      faults.map((fault) => [fault, outcome]),
    );
  });

  test("one dead phase never gives the coil what pulls the relay in, once the first charge is over", () => {
    for (const fault of ["C1: 1 open", "C2: 1 open", "D2: A open", "D4: A open"])
      expect(way2(`${fault}, edges then low`).heldA).toBeLessThan(value("pump.coil-dead-phase"));
  });

  test("coupling and reservoir ten times too large let go late: the bound can fail", async () => {
    const { releaseS } = await pumpTimes(CIRCUIT, "edges then low", value, undefined, { capacitors: 10 });
    expect(releaseS).toBeGreaterThan(value("pump.release-limit") + value("relay.decay"));
  });
});

describe("a dead processor", () => {
  const dead = (death: string): (Row & DeadTimes)[] =>
    times.rows.filter(({ name }) => name.startsWith(`processor ${death}, `));
  const faultOf = ({ name }: Row): string => name.replace(/^processor \w+, /, "");

  test("leaves no coil its current longer than is stated, and a bound ten times smaller would be passed", () => {
    expect(endsLate(times.rows, value)).toEqual([]);
    const smaller: Values = (key) => value(key) / (key.startsWith("hang.") ? 10 : 1);
    expect(endsLate(times.rows, smaller).length).toBeGreaterThan(100);
  });

  test("that hangs: no single fault of drivers, wires and way 2 keeps a coil longer than is stated", () => {
    const rows = dead("hangs");
    expect(rows.length).toBeGreaterThan(90);
    for (const { name, endS } of rows)
      expect(endS ?? Infinity, name).toBeLessThan(value("hang.shorted-driver"));
  });

  test("whose clock stops: only what is found before arming keeps a coil, and the rest ends as is stated", () => {
    const rows = dead("stops");
    const never = rows.filter(({ endS }) => endS === undefined).map(faultOf);
    const found = ["the relay is closed at rest", "holds for ever once the pin is stuck high"];
    const outcomes = never.map((fault) => pumpOutcome(times.rows, fault, value));
    expect(never).toHaveLength(8);
    expect(outcomes.filter((one) => !found.includes(one))).toEqual([]);
    for (const { name, endS } of rows) expect(endS ?? 0, name).toBeLessThan(value("hang.single-fault"));
  });

  test("the time of a shorted driver lies between that with the clamp and that with a plain diode", () => {
    const row = dead("stops").find(({ name }) => name.endsWith("Q101: D shorted to S"))!;
    const free = row.endS! - value("hang.pump-and-relay");
    // One other coil: the loop has no clamp once both carry the same current.
    expect(free).toBeGreaterThan(value("clamp.release-24"));
    expect(free).toBeLessThan(value("clamp.release-diode"));
  });
});
