// The calibration page: what an input must show is what the solved circuit shows, and every sensor has its worksheet.
import { expect, test } from "vitest";
import { CIRCUIT } from "#shared-schema/circuit/circuit.ts";
import { SENSORS } from "#shared-schema/circuit/inputs.ts";
import { SCENES, solve } from "../circuit/judge.ts";
import { tableRows } from "../support/markdown.ts";
import { noteText, value } from "./values.ts";

const page = noteText("calibration.md");
const known = tableRows(page).filter((row) => row.length === 3);
const volts = (text: string): number => Number(text.replace(" V", ""));

test("known voltages: the divider of the solved circuit, and an error of 1.2 % of the wire and four codes", () => {
  expect(known).toHaveLength(9);
  const { volts: at } = solve(CIRCUIT, SCENES["arm off, keep-alive low"]!, value);
  const ratio = (at("bottle.adc") - at("gnd")) / (at("bottle.signal") - at("gnd"));
  for (const [wire, channel, off] of known) {
    expect(volts(channel!)).toBeCloseTo(volts(wire!) * ratio, 2);
    const error = 0.012 * volts(wire!) + (4 / 4096) * value("adc.full-sensor");
    expect(Math.abs(Number(off!.replace(" mV", "")) - 1000 * error)).toBeLessThan(1);
  }
});

test("every sensor has a worksheet with its channel and its wires", () => {
  for (const [i, name] of SENSORS.entries()) {
    const part = page.split(`\n## ${name}\n`)[1]!.split("\n## ")[0]!;
    expect(part).toContain(`signal X4.${3 * i + 2} (W4${String(3 * i + 2).padStart(2, "0")})`);
    expect(tableRows(part).length).toBeGreaterThan(2);
  }
});
