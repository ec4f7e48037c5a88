// The rail that every input clamp leads to: its voltage, what flows into it, and that it can sink all of it.
import { test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { PINS, SLOW_SWITCHES } from "#shared-schema/model/pins.ts";
import { value } from "./values.ts";

const SWITCHES = PINS.filter((pin) => pin.kind === "switch").length + SLOW_SWITCHES.length;
const PULSES = PINS.filter((pin) => pin.kind === "pulse").length;
const DRAINS = PINS.filter((pin) => pin.kind === "solenoid").length;

/** Current into the clamp of one input, A: through its series resistor, less what its own lower resistor takes. */
function clamped(volts: number, top: string, bottom: string): number {
  const pin = value("pin.clamped");
  return Math.max(0, (volts - pin) / value(top) - pin / value(bottom));
}

const switches = (volts: number): number => clamped(volts, "switch.series", "switch.pulldown");
const sensor = (volts: number): number => clamped(volts, "sensor.top", "sensor.bottom");
const tap = (volts: number): number => clamped(volts, "tap.top", "tap.bottom");

describe("the clamp rail", () => {
  test("stands at the converters' reference, fed with enough to regulate", () => {
    const rail = value("rail.reference") * (1 + value("rail.top") / value("rail.bottom"));
    expect(rail).toBeCloseTo(value("rail.voltage"), 2);
    expect(value("rail.voltage")).toBeCloseTo(value("adc.reference"), 2);
    const divider = rail / (value("rail.top") + value("rail.bottom"));
    const idle = (value("pump.supply") - rail) / value("rail.feed") - divider;
    expect(idle).toBeCloseTo(value("rail.idle"), 4);
    expect(idle).toBeGreaterThan(value("rail.least"));
  });

  test("sinks everything at once at a jump start, and hardly rises", () => {
    const jump = value("supply.jump");
    const drains = DRAINS * tap(jump + value("clamp.highest") + value("clamp.diode"));
    const all = (SWITCHES + PULSES) * switches(jump) + 6 * sensor(jump) + 2 * tap(jump) + drains;
    expect(all).toBeCloseTo(value("rail.worst"), 3);
    expect(2 * all).toBeLessThan(value("rail.sinks"));
    expect(all * value("rail.impedance")).toBeCloseTo(value("rail.lift"), 3);
  });

  test("is needed: a regulator that only sources would be lifted by much less", () => {
    // Two converters and the register take some 0.6 mA (from memory): all that such a regulator would leave to sink.
    const taken = 0.6e-3;
    expect(sensor(14.4)).toBeCloseTo(value("rail.one-sensor"), 4);
    expect(sensor(14.4)).toBeGreaterThan(2 * taken);
    expect(4 * switches(14.4) + DRAINS * tap(value("clamp.drain-good"))).toBeGreaterThan(2 * taken);
  });
});
