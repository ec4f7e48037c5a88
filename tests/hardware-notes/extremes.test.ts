// Extremes of the supply, battery on wires, filters and the kick of a coil: the kept rows against ratings and formulas, and worse circuits.
import { expect, test } from "vitest";
import { CIRCUIT } from "#shared-schema/circuit/circuit.ts";
import { faultsOf } from "../circuit/faults.ts";
import { driverTimes } from "../circuit/spice/driver.ts";
import { extremesOf } from "../circuit/spice/extreme-cases.ts";
import { type ExtremeTimes, extremeTimes } from "../circuit/spice/extremes.ts";
import type { FilterTimes, OvervoltageTimes } from "../circuit/spice/inputs.ts";
import { readTimes } from "../circuit/spice/kept.ts";
import { KICK_V, type KickTimes } from "../circuit/spice/kick.ts";
import { leaveOut } from "./mistakes.ts";
import { value } from "./values.ts";

function rows<T>(kind: string): [name: string, row: T][] {
  return readTimes()
    .rows.filter(({ name }) => name.startsWith(`${kind}, `))
    .map((row) => [row.name.slice(kind.length + 2), row as unknown as T]);
}
const extremes = rows<ExtremeTimes>("extreme");
const extreme = (name: string): ExtremeTimes => extremes.find(([one]) => one.startsWith(name))![1];

test("no part comes over its rated voltage, and no coil that is not driven gets current", () => {
  expect(extremes).toHaveLength(extremesOf(value).length);
  for (const [name, { share, coilA, gateV }] of extremes) {
    expect(share, name).toBeLessThan(1);
    expect(coilA, name).toBeLessThan(value("coil.release-current") / 3);
    expect(gateV, name).toBeLessThan(value("driver.fet-threshold"));
  }
});

test("a reversed battery reaches nothing", () => {
  const { feedLeastV, coilA } = extreme("reversed battery");
  expect(Math.abs(feedLeastV)).toBeLessThan(0.1);
  expect(coilA).toBeLessThan(1e-3);
});

test("D13 conducts in an unlimited load dump alone, and takes what the page computes, more than it withstands", () => {
  const { dumpJ } = extreme("load dump of an alternator without");
  expect(Math.abs(dumpJ / value("dump.energy") - 1)).toBeLessThan(0.1);
  expect(dumpJ).toBeGreaterThan(value("dump.stands"));
  for (const name of ["jump start from 24 V, arm", "load dump of an alternator with a"])
    expect(extreme(name).dumpJ).toBe(0);
});

test("cranking down to 6 V leaves the 5 V, deeper cranking does not", () => {
  expect(extreme("cranking down to 6 V").fiveV).toBeGreaterThan(4.75);
  expect(extreme("cranking down to 4.5 V").fiveV).toBeLessThan(4.5);
});

test("when key or battery goes, the coil's current ends about as with a plain diode", () => {
  for (const name of ["key off", "battery's wire off"])
    expect(extreme(name).endS).toBeLessThan(1.2 * value("clamp.release-diode"));
});

test("without R10 the kick of the relay's coil takes Q1 over its rating at a jump start", async () => {
  const jump = extremesOf(value).find(({ name }) => name.includes("while a driver conducts"))!;
  const { worst, share } = await extremeTimes(leaveOut("R10")(CIRCUIT), jump, value);
  expect(worst).toBe("Q1");
  expect(share).toBeGreaterThan(1);
});

test("dummy coils, those of spare relays, kick as high as solenoids, and show a shorted suppressor as well", async () => {
  const dummy = { hz: 20, ohm: value("relay.resistance"), henry: value("relay.inductance"), volts: 12 };
  const fault = faultsOf(CIRCUIT).find(({ name }) => name === "D101: A shorted to K")!;
  const good = await driverTimes(CIRCUIT, dummy, value);
  const bad = await driverTimes(CIRCUIT, dummy, value, fault);
  expect(good.peakV).toBeGreaterThan(12 + value("clamp.voltage") - 1);
  expect(good.peakV).toBeLessThan(value("clamp.drain-limit"));
  expect(bad.peakV).toBeLessThan(value("clamp.drain-shorted"));
});

test("battery on sensor and switch wires keeps inputs within what they take, and moves no other sensor", () => {
  const found = rows<OvervoltageTimes>("input");
  expect(found).toHaveLength(3);
  for (const [name, { channelV, pinV, movesV, railV }] of found) {
    expect(channelV, name).toBeLessThan(value("adc.input-highest"));
    expect(pinV, name).toBeLessThan(value("pin.clamped") + 0.05);
    expect(movesV ?? 0, name).toBeLessThan(5e-3);
    expect(railV - value("rail.voltage"), name).toBeLessThan(0.1);
  }
});

test("filters leave what one resistance and one capacitor do, within 5 %", () => {
  const parallel = (a: number, b: number): number => (a * b) / (a + b);
  const seconds = {
    sensor: parallel(value("sensor.top"), value("sensor.bottom")) * value("sensor.filter"),
    "drain tap": parallel(value("tap.top"), value("tap.bottom")) * value("tap.filter"),
  };
  const found = rows<FilterTimes>("filter");
  expect(found).toHaveLength(10);
  for (const [name, { left }] of found) {
    const [, kind, hz] = /^(.*), (\d+) Hz$/.exec(name)!;
    const share = 1 / Math.hypot(1, 2 * Math.PI * Number(hz) * seconds[kind as keyof typeof seconds]);
    expect(Math.abs(left - share), name).toBeLessThan(0.05);
  }
  expect(found.find(([name]) => name === "sensor, 1000 Hz")![1].left).toBeCloseTo(value("sensor.at-1khz"), 1);
});

test("the kick of a sound clamp is seen for over a millisecond after pulses of 4 ms and more, a shorted one never", () => {
  const kicks = rows<KickTimes>("kick");
  const long = kicks.filter(([name]) => name.startsWith("whole") && !name.includes(", 2 ms"));
  expect(long).toHaveLength(6);
  for (const [name, { fromS, untilS }] of long) expect(untilS! - fromS!, name).toBeGreaterThan(1.2e-3);
  const shorted = kicks.filter(([name]) => name.startsWith("D101: A shorted"));
  expect(shorted).toHaveLength(8);
  for (const [name, { fromS }] of shorted) expect(fromS, name).toBe(undefined);
  // At the highest battery at which anything flows a shorted clamp stays under the threshold, and that under a full code.
  expect(16.5 + value("clamp.diode")).toBeLessThan(0.97 * KICK_V);
  expect(KICK_V).toBeLessThan(0.97 * value("adc.full-supply"));
});
