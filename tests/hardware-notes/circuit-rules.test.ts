// Rules over the circuit as data: the circuit keeps them all, and each planted mistake breaks the rule that is there for it.
import { test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { PinRecorder } from "#host/bench/board/pins.ts";
import { CIRCUIT, nets } from "#shared-schema/circuit/circuit.ts";
import { pulls } from "#shared-schema/circuit/graph.ts";
import type { Circuit, Part } from "#shared-schema/circuit/part.ts";
import { CIRCUIT_RULES, findings } from "#shared-schema/circuit/rules.ts";
import { PINS } from "#shared-schema/model/pins.ts";
import { MISTAKES } from "./mistakes.ts";
import { VALUES, value } from "./values.ts";

test("the circuit keeps every rule", () => {
  expect(findings(CIRCUIT, value)).toEqual([]);
  process.stdout.write(
    `circuit: ${CIRCUIT.parts.length} parts, ${nets(CIRCUIT).size} nets, ${CIRCUIT.wires.length} wires, ${CIRCUIT_RULES.length} rules\n`,
  );
});

describe("a planted mistake breaks its rule", () => {
  test.each(MISTAKES.map((one) => [one.name, one] as const))("%s", (_, { plant, rule }) => {
    const found = findings(plant(CIRCUIT), value);
    expect(found.map((one) => one.rule)).toContain(rule);
  });

  test("and each rule has one", () => {
    expect([...new Set(MISTAKES.map(({ rule }) => rule))].sort()).toEqual(
      CIRCUIT_RULES.map(({ name }) => name).sort(),
    );
  });
});

test("values named by parts and wires are in the file of values", () => {
  const keys = [
    ...CIRCUIT.parts.flatMap(({ value: key, rating }) => [key, rating.volts, rating.amps, rating.watts]),
    ...CIRCUIT.wires.map(({ carries }) => carries),
  ].filter((key) => typeof key === "string");
  expect(keys.length).toBeGreaterThan(200);
  expect(keys.filter((key) => VALUES[key] === undefined)).toEqual([]);
});

/** Takes a resistor that pulls an input or a gate out of the circuit. */
const without = (circuit: Circuit, ref: string): Circuit => ({
  ...circuit,
  parts: circuit.parts.filter((part) => part.ref !== ref),
});
const isPull = ({ value: key }: Part): boolean =>
  ["driver.pulldown-pin", "driver.pulldown-gate", "select.pull-up"].includes(key ?? "");

test.each(CIRCUIT.parts.filter(isPull).map(({ ref }) => ref))("%s cannot be left out unnoticed", (ref) => {
  const found = findings(without(CIRCUIT, ref), value);
  expect(found.map(({ rule }) => rule)).toContain("each output is pulled to off");
});

test("the emulated board's pins rest as the circuit's resistors hold them", () => {
  const outputs = PINS.filter(
    ({ direction, name }) => direction === "out" && !/^(spi(Clock|Out)|uartTx)$/.test(name),
  );
  expect(outputs).toHaveLength(16);
  for (const { name, gpio } of outputs) {
    const net = name === "keepAlive" ? "keepAlive.pump" : name;
    const level = pulls(CIRCUIT, value, net, "3v3", 10_000).length;
    expect(PinRecorder.idleLevel(gpio), name).toBe(level);
    expect(level + pulls(CIRCUIT, value, net, "gnd", 10_000).length, name).toBe(1);
  }
});
