// The emulated board's relay, pump, coils and taps against the simulated times of the circuit: where the two part, one of them is wrong.
import { expect, test } from "vitest";
import { CLAMP_MV, Coil } from "#host/bench/board/outside/coil.ts";
import { DRAIN_OPEN_LOAD_MV, TAP_NS } from "#host/bench/board/outside/drivers.ts";
import { PUMP_HOLD_NS, RELAY_CLOSE_NS, RELAY_OPEN_NS } from "#host/bench/board/outside/relay.ts";
import type { DriverTimes } from "../circuit/spice/driver.ts";
import type { FilterTimes } from "../circuit/spice/inputs.ts";
import { readTimes } from "../circuit/spice/kept.ts";
import type { PumpTimes } from "../circuit/spice/pump.ts";
import { value } from "./values.ts";

const row = <T>(name: string): T => readTimes().rows.find((one) => one.name === name)! as unknown as T;
const apart = (a: number, b: number): number => Math.abs(a / b - 1);

test("pump and relay together open no sooner than the simulated ones do, and no later than the design allows for", () => {
  const emulatedS = (PUMP_HOLD_NS + RELAY_OPEN_NS) / 1e9;
  expect(emulatedS).toBeCloseTo(value("hang.pump-and-relay"), 9);
  for (const level of ["low", "high"]) {
    const { releaseS } = row<PumpTimes>(`way 2, whole, edges then ${level}`);
    const simulatedS = releaseS! + value("relay.mechanics");
    expect(simulatedS).toBeLessThan(emulatedS);
    expect(simulatedS).toBeGreaterThan(emulatedS / 2);
  }
  expect(RELAY_CLOSE_NS / 1e9).toBeGreaterThan(value("relay.operate"));
});

test("a coil rises, kicks and lets go as the simulated one, within 6 %", () => {
  const { settledA, releaseS, peakV } = row<DriverTimes>("driver, 4 ohm, 30 mH, 20 Hz");
  const supplyMv = 1000 * value("coil.supply");
  const coil = new Coil();
  coil.pass(35e6, true, supplyMv);
  expect(apart(coil.mA / 1000, settledA)).toBeLessThan(0.06);
  expect(apart((supplyMv + CLAMP_MV) / 1000, peakV)).toBeLessThan(0.06);
  coil.pass(releaseS! * 1e9, false, supplyMv);
  expect(coil.mA / 1000).toBeLessThan(2 * value("coil.release-current"));
  expect(coil.mA).toBeGreaterThan(0);
});

test("a tap's filter leaves what the simulated one does, within 5 %, and an open coil's drain stands where it is computed", () => {
  const { left } = row<FilterTimes>("filter, drain tap, 1000 Hz");
  expect(apart(1 / Math.hypot(1, (2 * Math.PI * 1000 * TAP_NS) / 1e9), left)).toBeLessThan(0.05);
  expect(DRAIN_OPEN_LOAD_MV / 1000).toBeCloseTo(value("drain.open-coil"), 2);
});
