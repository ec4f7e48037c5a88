// The charge pump, the transistors that it holds, and the coil of the master relay with its clamp.
import { capacitor, diode, type Part, part, pin, resistor, two } from "./part.ts";

const small = { part: "small Schottky diode", value: "pump.diode", rating: { volts: 30 } };

/** One phase: from an output of U1 through resistor and capacitor, clamped to ground, into the reservoir. */
function phase(n: 1 | 2, output: string): Part[] {
  const [clampDiode, feedDiode] = n === 1 ? ["D1", "D2"] : ["D3", "D4"];
  return [
    resistor(`R${n}`, "pump.series", output, `pump.r${n}`, 1),
    capacitor(`C${n}`, "pump.coupling", `pump.r${n}`, `pump.c${n}`, "film", 63),
    diode(clampDiode!, "schottky", "gnd", `pump.c${n}`, small),
    diode(feedDiode!, "schottky", `pump.c${n}`, "pump.out", small),
  ];
}

const relayClamp = {
  part: "suppressor of 600 W, one way, named by its breakdown",
  value: "relay.clamp",
  tolerancePercent: 5,
  rating: { watts: 1 },
};

const Q1 = [
  pin("B", "B", "in", "pump.base"),
  pin("C", "C", "passive", "pump.collector"),
  pin("E", "E", "passive", "gnd"),
];
const Q2 = [
  pin("G", "G", "in", "pump.gate"),
  pin("S", "S", "passive", "pump.source"),
  pin("D", "D", "passive", "pump.coil"),
];

export const PUMP: readonly Part[] = [
  two("J1", "jumper", "keepAlive", "keepAlive.pump", { part: "jumper with two pins", rating: { amps: 1 } }),
  resistor("R7", "driver.pulldown-pin", "keepAlive.pump", "gnd"),
  ...phase(1, "pump.first"),
  ...phase(2, "pump.second"),
  capacitor("C3", "pump.reservoir", "pump.out", "gnd", "film", 63),
  // Two of each: with one open, or shorted, way 2 still lets go in a stated time.
  resistor("R3", "pump.bleed", "pump.out", "gnd", 1),
  resistor("R9", "pump.bleed", "pump.out", "gnd", 1),
  resistor("R4", "pump.base", "pump.out", "pump.base", 1),
  part("Q1", "npn", Q1, {
    part: "small NPN transistor",
    value: "pump.gain",
    rating: { volts: "pump.q1-voltage" },
  }),
  resistor("R6", "pump.gate", "pump.gate", "pump.collector", 1),
  resistor("R5", "pump.gate", "pump.source", "pump.gate", 1),
  // Behind D5 the source would float when Q2 opens, and the kick of the coil would lift it through Q2's own capacitance.
  resistor("R10", "pump.source-bleed", "pump.source", "gnd"),
  diode("D5", "schottky", "arm", "pump.source", {
    part: "Schottky diode",
    value: "pump.source-diode",
    rating: { volts: 100, amps: 1 },
  }),
  diode("D6", "zener", "pump.gate", "pump.source", {
    part: "Zener diode",
    value: "pump.gate-zener",
    tolerancePercent: 5,
    rating: { watts: 0.5 },
  }),
  part("Q2", "p-fet", Q2, {
    part: "P-channel MOSFET, logic level",
    rating: { volts: "driver.fet-voltage", amps: 3 },
  }),
  diode("D7", "suppressor", "pump.middle", "star", relayClamp),
  diode("D9", "suppressor", "pump.clamp", "pump.middle", relayClamp),
  diode("D8", "diode", "pump.clamp", "pump.coil", { part: "diode", rating: { volts: 400, amps: 1 } }),
];
