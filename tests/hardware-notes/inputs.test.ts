// Dividers, filters, thresholds and supply of hardware-notes against the scales and limits that the firmware works with.
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { SENSOR_UV_PER_CODE, SUPPLY_MV_PER_CODE } from "#shared-schema/model/blocks.ts";
import { DRAIN_CODES } from "#shared-schema/model/drains.ts";
import { SETTINGS } from "#shared-schema/settings/settings.ts";
import type { SettingNode } from "#shared-schema/settings/table.ts";
import { wordAt } from "#shared-schema/settings/words.ts";
import { value } from "./values.ts";

const parallel = (...ohms: number[]): number => 1 / ohms.reduce((sum, ohm) => sum + 1 / ohm, 0);
const ratio = (top: string, bottom: string): number => value(bottom) / (value(top) + value(bottom));
const CODES = 4096;

describe("a voltage divider gives the scale that the core counts with", () => {
  test.each([
    ["sensor", (SENSOR_UV_PER_CODE * CODES) / 1e6, "adc.full-sensor"],
    ["tap", (SUPPLY_MV_PER_CODE * CODES) / 1e3, "adc.full-supply"],
  ])("%s", (name, full, key) => {
    expect(value(key)).toBeCloseTo(full, 9);
    const wanted = value("adc.reference") / full;
    const error = Math.abs(ratio(`${name}.top`, `${name}.bottom`) / wanted - 1);
    expect(error).toBeCloseTo(value(`${name}.error`), 4);
    expect(error).toBeLessThan(0.005);
  });

  test("filters are fast against a tick and slow enough to feed the converter's sampling capacitor", () => {
    const sensor = parallel(value("sensor.top"), value("sensor.bottom")) * value("sensor.filter");
    expect(sensor).toBeCloseTo(value("sensor.delay"), 5);
    const tap = parallel(value("tap.top"), value("tap.bottom")) * value("tap.filter");
    expect(tap).toBeLessThan(0.0005);
    // Sensors are read once in a millisecond or more seldom.
    expect(1 / Math.hypot(1, 2 * Math.PI * 1000 * sensor)).toBeCloseTo(value("sensor.at-1khz"), 2);
    const open = value("sensor.bottom") * value("sensor.filter") * Math.log(10);
    expect(open).toBeCloseTo(value("sensor.open-delay"), 4);
    // 20 pF sampling capacitor (from memory): a jump of full scale moves the sensor filter by less than two codes.
    expect((CODES * 20e-12) / value("sensor.filter")).toBeLessThan(2);
  });

  test("the clamp of a drain tap takes little", () => {
    const current = (value("clamp.drain-peak") - value("pin.clamped")) / value("tap.top");
    expect(current).toBeCloseTo(value("tap.clamp-current"), 5);
  });
});

describe("the drains", () => {
  const load = value("tap.top") + value("tap.bottom");
  const bias = value("adc.full-sensor") - 0.6;

  test("of an open coil stands where the core tells it from a short and from a sound coil", () => {
    const open = (bias * load) / (load + value("drain.bias"));
    expect(open).toBeCloseTo(value("drain.open-coil"), 1);
    expect(open).toBeGreaterThan(value("drain.open-lowest"));
    expect(open).toBeLessThan(value("drain.open-highest"));
    expect(value("coil.current") * value("driver.fet-resistance")).toBeLessThan(value("drain.open-lowest"));
  });

  test("do not pretend a supply behind an open relay, thanks to the bleeder", () => {
    const lifted = (bleeder: number): number => {
      const down = parallel(bleeder, load / 8, load);
      return (bias * down) / (down + value("drain.bias") / 8);
    };
    expect(lifted(value("drain.bleeder"))).toBeCloseTo(value("drain.relay-open"), 2);
    expect(lifted(value("drain.bleeder"))).toBeLessThan(value("drain.open-lowest"));
    expect(lifted(1e9)).toBeGreaterThan(value("drain.no-supply"));
    // Parts of 2 W, loaded to half at most even at a jump start; parts of 0.5 W would burn.
    expect(value("supply.jump") ** 2 / value("drain.bleeder")).toBeCloseTo(value("drain.bleeder-heat"), 2);
    expect(value("drain.bleeder-heat")).toBeLessThan(1);
  });

  test("are judged by the limits that stand in the core", () => {
    const core = (file: string, name: string): number =>
      Number(
        new RegExp(`const ${name}: u32 = ([\\d_]+);`)
          .exec(readFileSync(join(import.meta.dirname, "../../firmware/core", file), "utf8"))![1]!
          .replace("_", ""),
      );
    expect(DRAIN_CODES.conducting * SUPPLY_MV_PER_CODE).toBe(1000 * value("drain.open-lowest"));
    expect(DRAIN_CODES.loaded * SUPPLY_MV_PER_CODE).toBe(1000 * value("drain.open-highest"));
    expect(core("arming.ts", "NO_SUPPLY_MV")).toBe(1000 * value("drain.no-supply"));
    expect(core("arming.ts", "SETTLE_US")).toBe(1e6 * value("arming.settle"));
    expect(core("arming.ts", "FOLLOW_US")).toBe(1e6 * value("arming.follow"));
  });
});

describe("a switch input", () => {
  const part = ratio("switch.series", "switch.pulldown");
  const input = value("switch.series") + value("switch.pulldown");
  const source = parallel(value("switch.series"), value("switch.pulldown"));

  test("reads on at any battery voltage that cranks an engine, and off when open", () => {
    expect(value("pin.high") / part).toBeCloseTo(value("switch.high"), 6);
    expect(value("pin.low") / part).toBeCloseTo(value("switch.low"), 6);
    expect(value("switch.high")).toBeLessThan(9);
  });

  test("reads off through a damp connector, thanks to its load", () => {
    const leak = (load: number): number => (load * (14.4 - value("switch.low"))) / value("switch.low");
    expect(leak(parallel(value("switch.load"), input))).toBeGreaterThan(value("switch.leak"));
    expect(leak(parallel(value("switch.load"), input))).toBeLessThan(1.05 * value("switch.leak"));
    expect(leak(input)).toBeGreaterThan(100e3);
    expect(value("supply.jump") ** 2 / value("switch.load")).toBeLessThan(1);
  });

  test("filters delay an arm switch by microseconds, the others by less than a tick", () => {
    const fall = Math.log(value("pin.clamped") / value("pin.low"));
    expect(source * value("switch.arm-filter") * fall).toBeCloseTo(value("switch.arm-delay"), 6);
    expect(source * value("switch.filter") * fall).toBeLessThan(0.0005);
  });
});

function highest(name: string, fields: readonly SettingNode[] = SETTINGS.fields): number {
  return Math.max(
    ...fields.map((node) => {
      if (node.kind === "group" || node.kind === "list") return highest(name, node.fields);
      return node.kind === "number" && node.name === name ? node.max : 0;
    }),
  );
}

describe("a pulse input", () => {
  const fastest = (wordAt("road.pulsesPerKm").max * highest("closeDeciKmh")) / 10 / 3600;

  test("passes the fastest pulses that any settings allow", () => {
    const engine = ((wordAt("engine.pulsesHalfPulses").max / 2) * highest("closeRpm")) / 60;
    expect(fastest).toBeCloseTo(value("pulse.fastest"), 0);
    expect(fastest).toBeGreaterThan(engine);
    const constant = parallel(value("pulse.series-12"), value("switch.pulldown")) * value("pulse.filter");
    expect(constant).toBeCloseTo(value("pulse.time-constant"), 7);
    expect(5 * constant).toBeLessThan(0.5 / fastest);
  });

  test("sees a 5 V wave with its own resistor only", () => {
    const level = (series: string): number => 5 * ratio(series, "switch.pulldown");
    expect(level("pulse.series-5")).toBeGreaterThan(value("pin.high"));
    expect(level("pulse.series-5")).toBeLessThan(value("pin.clamped"));
    expect(level("pulse.series-12")).toBeLessThan(value("pin.high"));
  });
});

test("the switch register gives way to a converter, and still makes a clear low", () => {
  const supply = value("adc.reference");
  const series = value("register.series");
  const low = (supply * series) / (series + value("register.pull-up"));
  expect(low).toBeCloseTo(value("register.low"), 2);
  expect(low).toBeLessThan(value("pin.low") / 2);
  expect(supply / series).toBeCloseTo(value("register.load"), 4);
  expect(supply / series).toBeLessThan(value("adc.current"));
  // 30 pF on the line (assumed) has settled within half of the 1008 ns that a bit takes at 125 MHz / 126.
  expect(3 * series * 30e-12).toBeLessThan(0.5 * (126 / 125e6));
});
