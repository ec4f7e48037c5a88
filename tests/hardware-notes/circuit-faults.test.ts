// Single faults of parts and wires, solved for direct current: the kept results fit the circuit, and the circuits as they once were fail.
import { test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { CIRCUIT } from "#shared-schema/circuit/circuit.ts";
import { type CircuitFault, faultsOf, isNamed } from "../circuit/faults.ts";
import { CARRIES_A, SCENES, solve, worst } from "../circuit/judge.ts";
import type { Scene } from "../circuit/model.ts";
import { hashOf, readResults, tryFault } from "../circuit/results.ts";
import { Network } from "../circuit/solver.ts";
import { change, leaveOut, NO_POLARITY_RELAY, OLD_DIODE, OLD_GROUND } from "./mistakes.ts";
import { value } from "./values.ts";

const OFF = SCENES["arm off, keep-alive low"]!;
const DEAD = SCENES["arm on, processor in reset"]!;
const WILD: Scene = { ...DEAD, program: "wild" };
const FAULTS = faultsOf(CIRCUIT);
const named = (name: string): CircuitFault => FAULTS.find((fault) => fault.name === name)!;

describe("the solver", () => {
  test("divides a voltage as the formula says", () => {
    const net = new Network(3);
    net.branch(1, 0, 1000, 12);
    net.branch(1, 2, 1 / 3000);
    net.branch(2, 0, 1 / 1000);
    const volts = net.solve();
    expect(volts[1]).toBeCloseTo(12, 3);
    expect(volts[2]).toBeCloseTo(3, 3);
  });
});

describe("without a fault", () => {
  test("all ten coils get their current when both ways are on", () => {
    const { settled, coils } = solve(CIRCUIT, WILD, value);
    expect(settled).toBe(true);
    expect(coils.size).toBe(10);
    // 14.4 V less the drop of wires, contacts, transistor and battery.
    for (const amps of coils.values()) {
      expect(amps).toBeGreaterThan(3);
      expect(amps).toBeLessThan(14.4 / value("coil.resistance"));
    }
  });

  test("the driver supply with the relay open is what the page computes", () => {
    const solved = solve(CIRCUIT, OFF, value);
    expect(solved.volts("drv")).toBeCloseTo(value("drain.relay-open"), 1);
  });

  test.each([
    ["arm switch off, processor wild", { ...WILD, armClosed: false }],
    ["key off", { ...WILD, keyOn: false }],
    ["battery reversed", { ...WILD, battery: -14.4 }],
    ["jump start, arm switch off", { ...WILD, armClosed: false, battery: value("supply.jump") }],
    ["processor in reset, arm switch on", DEAD],
  ] as const)("no coil has current: %s", (_, scene) => {
    const solved = solve(CIRCUIT, scene, value);
    expect(solved.settled).toBe(true);
    expect(worst(solved)).toBeLessThan(CARRIES_A);
  });
});

describe("the circuits as they once were", () => {
  test("the old ground: its one link open lifts every gate, and the coils have current with the processor dead", () => {
    const solved = solve(OLD_GROUND(CIRCUIT), DEAD, value, named("LK1: 1 open"));
    expect(solved.volts("gnd")).toBeGreaterThan(12);
    expect(solved.volts("nitrous1.gate")).toBeGreaterThan(10);
    expect(worst(solved)).toBeGreaterThan(3);
    expect(worst(solve(CIRCUIT, DEAD, value, named("LK1: 1 open")))).toBeLessThan(CARRIES_A);
  });

  test("now even both links open lift the logic plane by less than a gate's threshold", () => {
    const solved = solve(leaveOut("LK1", "LK2")(CIRCUIT), DEAD, value);
    expect(solved.volts("gnd")).toBeGreaterThan(0.5);
    expect(solved.volts("nitrous1.gate")).toBeLessThan(value("driver.fet-threshold"));
    expect(worst(solved)).toBeLessThan(CARRIES_A);
  });

  test("the old diode: battery on the wire to the relay's coil reads as armed with the switch off", () => {
    const wire = named("W9: on battery");
    const old = solve(OLD_DIODE(CIRCUIT), OFF, value, wire);
    expect(old.volts("armSwitch")).toBeGreaterThan(value("pin.high"));
    expect(worst(old)).toBeGreaterThan(3);
    const now = solve(CIRCUIT, OFF, value, wire);
    expect(now.volts("armSwitch")).toBeLessThan(value("pin.low"));
    expect(worst(now)).toBeLessThan(CARRIES_A);
  });

  test("no polarity relay: a reversed battery flows through the drivers' own diodes", () => {
    const reversed = { ...DEAD, battery: -14.4 };
    expect(worst(solve(NO_POLARITY_RELAY(CIRCUIT), reversed, value))).toBeGreaterThan(1);
  });
});

describe("a sensor's supply wire on the battery", () => {
  const wire = named("W401: on battery");

  test("leaves the 5 V of the chips as they are, since U4 blocks; without that they would rise to what destroys them", () => {
    const now = solve(CIRCUIT, OFF, value, wire);
    expect(now.settled).toBe(true);
    expect(now.volts("sensor5")).toBeGreaterThan(14);
    expect(now.volts("5v") - now.volts("gnd")).toBeLessThan(5.1);
    const former = change("U4", (part) => ({ ...part, part: "current-limited switch for 5 V" }))(CIRCUIT);
    expect(solve(former, OFF, value, wire).volts("5v")).toBeGreaterThan(7);
  });
});

describe("single faults", () => {
  const results = readResults();

  test("kept results are of this circuit and these models: run `npm run circuit` when not", () => {
    expect(results.hash).toBe(hashOf(CIRCUIT, value));
    expect(results.faults).toBe(FAULTS.length);
    expect(results.scenes).toBe(Object.keys(SCENES).length);
  });

  test.each(["relay.pull-in", "relay.drop-out", "coil.resistance"])(
    "another %s gives another hash",
    (key) => {
      const changed = (one: string): number => value(one) * (one === key ? 1.01 : 1);
      expect(hashOf(CIRCUIT, changed)).not.toBe(hashOf(CIRCUIT, value));
    },
  );

  test("none but the one named lets a coil carry current with the arm switch off or the processor dead", () => {
    expect(results.exceptions.filter((one) => !one.named)).toEqual([]);
    expect(results.exceptions.length).toBeGreaterThan(0);
    const joined = [...new Set(results.exceptions.map(({ fault }) => fault))];
    for (const name of joined) expect(isNamed(named(name)), name).toBe(true);
  });

  test("a sample, solved anew, gives what is kept", () => {
    const arm = named("S1: 1 shorted to 2");
    for (const fault of [arm, ...FAULTS.filter((_, i) => i % 97 === 5)])
      expect(tryFault(CIRCUIT, fault, value).found).toEqual(
        results.exceptions.filter((one) => one.fault === fault.name),
      );
  });
});
