// What the oscilloscope shows with dummy coils in place of the valves: the simulated peak is that of the page.
import { expect, test } from "vitest";
import { CIRCUIT } from "#shared-schema/circuit/circuit.ts";
import { TEST_TABLES } from "#shared-schema/circuit/test-points.ts";
import { driverTimes } from "../circuit/spice/driver.ts";
import { value } from "../hardware-notes/values.ts";

test("coils of spare relays kick as high as the page says", async () => {
  const [point] = TEST_TABLES.find(({ state }) => state === "dummy coils kick")!.points;
  const dummy = { hz: 8, ohm: value("relay.resistance"), henry: value("relay.inductance"), volts: 12 };
  const { peakV } = await driverTimes(CIRCUIT, dummy, value);
  expect(Math.abs(peakV / point!.expect - 1), `${peakV} V`).toBeLessThan(0.02);
});
