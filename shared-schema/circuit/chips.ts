// The board and the logic chips with their pins, from the pin table; each chip has its capacitor. Pin numbers are from memory.
import { headerNames } from "../model/header.ts";
import { ADC_A, PINS, SLOW_SWITCHES } from "../model/pins.ts";
import { LOGIC_OUTPUTS, SOLENOIDS } from "./drivers.ts";
import { switchNet } from "./inputs.ts";
import { type CircuitPin, capacitor, numbered, type Part, part, pin, pins } from "./part.ts";

const SUPPLY_NETS: Readonly<Record<string, string>> = { GND: "gnd", AGND: "gnd", VSYS: "vsys" };

function boardPin({ position, name }: { position: number; name: string }): CircuitPin {
  const known = PINS.find(({ gpio }) => name === `GP${gpio}`);
  if (known) return pin(position, name, known.direction, known.name);
  const net = SUPPLY_NETS[name];
  return net === undefined
    ? pin(position, name, "open")
    : pin(position, name, net === "gnd" ? "ground" : "power", net);
}

/** Outputs of the second buffer, in its order; its other inputs lie at ground. */
const SECOND_BUFFER = ["purge", "bottleValve", "heater", ...LOGIC_OUTPUTS] as const;

function buffer(ref: string, names: readonly string[]): Part {
  const spare = Array<string>(8 - names.length).fill("gnd");
  const nets = {
    ...numbered("A", [...names, ...spare]),
    ...numbered(
      "Y",
      names.map((name) => `${name}.buffer`),
    ),
    OE1: "gnd",
    OE2: "gnd",
    GND: "gnd",
    VCC: "5v",
  };
  const order = "OE1! A1> A2> A3> A4> A5> A6> A7> A8> GND- Y8< Y7< Y6< Y5< Y4< Y3< Y2< Y1< OE2! VCC+";
  return part(ref, "chip", pins(order, nets), { part: "74HCT541", rating: { volts: 6 } });
}

function converter(ref: string, select: string, channels: readonly string[]): Part {
  const order = "CH0> CH1> CH2> CH3> CH4> CH5> CH6> CH7> DGND- CS! DIN> DOUT< CLK> AGND- VREF+ VDD+";
  const nets = {
    ...numbered("CH", channels, 0),
    DGND: "gnd",
    CS: select,
    DIN: "spiOut",
    DOUT: "spiIn",
    CLK: "spiClock",
    AGND: "gnd",
    VREF: "3v3",
    VDD: "3v3",
  };
  return part(ref, "chip", pins(order, nets), {
    part: "MCP3208",
    value: "adc.reference",
    rating: { volts: 6 },
  });
}

const inverters = {
  "1A": "keepAlive.pump",
  "1Y": "pump.first",
  "2A": "pump.first",
  "2Y": "pump.second",
  ...Object.fromEntries(["3A", "4A", "5A", "6A"].map((name) => [name, "gnd"])),
  GND: "gnd",
  VCC: "5v",
};

const register = {
  LD: "adcASelect",
  CLK: "spiClock",
  ...Object.fromEntries(["E", "F", "G"].map((name) => [name, "gnd"])),
  H: "3v3",
  GND: "gnd",
  QH: "register.out",
  SER: "3v3",
  ...Object.fromEntries(SLOW_SWITCHES.map((name, i) => ["ABCD"[i]!, switchNet(`${name}Switch`)])),
  INH: "gnd",
  VCC: "3v3",
};

const adcNet = (name: string): string =>
  name === "battery" || name === "driverSupply" ? `${name}.tap` : `${name}.adc`;

export const CHIPS: readonly Part[] = [
  part("A1", "chip", headerNames().map(boardPin), {
    part: "Pico-class board, RP2040",
    rating: { volts: 5.5 },
  }),
  part("U1", "chip", pins("1A> 1Y< 2A> 2Y< 3A> 3Y< GND- 4Y< 4A> 5Y< 5A> 6Y< 6A> VCC+", inverters), {
    part: "74HCT14",
    rating: { volts: 6 },
  }),
  buffer("U6", SOLENOIDS),
  buffer("U7", SECOND_BUFFER),
  converter("U8", "adcASelect", ADC_A.map(adcNet)),
  converter(
    "U9",
    "adcBSelect",
    SOLENOIDS.map((name) => `${name}.tap`),
  ),
  part("U10", "chip", pins("LD! CLK> E> F> G> H> QN< GND- QH< SER> A> B> C> D> INH! VCC+", register), {
    part: "74HC165",
    rating: { volts: 6 },
  }),
];

/** Capacitor at each chip: number of the first is 21. The converters have a large one besides. */
export const DECOUPLING: readonly Part[] = [
  ...["5v", "5v", "5v", "3v3", "3v3", "3v3"].map((net, i) =>
    capacitor(`C${21 + i}`, "decouple.chip", net, "gnd", `ceramic X7R, at U${[1, 6, 7, 8, 9, 10][i]}`, 16),
  ),
  ...[8, 9].map((chip, i) =>
    capacitor(`C${27 + i}`, "decouple.large", "3v3", "gnd", `ceramic X7R, at U${chip}`, 16),
  ),
  capacitor("C29", "decouple.large", "vsys", "gnd", "ceramic X7R, at A1", 16),
];
