// Supply and grounds: fuses, polarity relay, suppressor, converter, regulators, clamp rail, links from logic plane to star.
import { fedBy, SOLENOIDS, tap } from "./drivers.ts";
import { capacitor, diode, type Part, part, pin, pins, resistor, two } from "./part.ts";

/** A relay with one contact: 86 and 85 are its coil, 30 and 87 its contact. */
export function relay(ref: string, nets: readonly [string, string, string, string], words: string): Part {
  const names = ["86", "85", "30", "87"];
  return part(
    ref,
    "relay",
    names.map((name, i) => pin(name, name, "passive", nets[i]!)),
    { part: words, value: "relay.resistance", rating: { amps: "supply.contact" }, place: "box" },
  );
}

function fuse(ref: string, amps: string, a: string, b: string, place: Part["place"]): Part {
  return two(ref, "fuse", a, b, { part: "blade fuse", value: amps, rating: { amps }, place });
}

const link = (ref: string): Part =>
  two(ref, "link", "gnd", "star", {
    part: "copper link of 2.5 mm2 or more, its own screws",
    value: "ground.link",
    rating: { amps: 10 },
  });

const stages = [1, 3, 5, 7].map(fedBy);

const POWER: readonly Part[] = [
  fuse("F1", "supply.fuse-main", "battery", "main.fused", "car"),
  relay("K2", ["k2.coil", "k2.ground", "main.in", "main"], "polarity relay, 12 V coil, like K1"),
  diode("D11", "diode", "key", "key.diode", { part: "diode", rating: { volts: 400, amps: 1 } }),
  diode("D12", "diode", "star", "key.diode", { part: "diode", rating: { volts: 400, amps: 1 } }),
  diode("D13", "suppressor", "star", "main", {
    part: "load-dump suppressor, one way",
    value: "dump.stand-off",
    rating: { volts: "dump.stand-off", amps: "dump.rated-current" },
  }),
  fuse("F2", "supply.fuse-controller", "main", "controller", "box"),
  diode("D14", "schottky", "controller", "feed", {
    part: "Schottky diode",
    value: "supply.series-drop",
    rating: { volts: 100, amps: 3 },
  }),
  relay(
    "K1",
    ["k1.coil", "k1.ground", "k1.in", "k1.out"],
    "master relay, 12 V coil without diode or resistor of its own",
  ),
  ...stages.map((net, i) => fuse(`F${3 + i}`, "supply.fuse-stage", "drv", net, "box")),
  fuse("F7", "supply.fuse-stage", "drv", fedBy(SOLENOIDS.length + 1), "box"),
  ...tap(17, "feed", "battery.tap"),
  ...tap(18, "drv", "driverSupply.tap"),
];

const REGULATORS: readonly Part[] = [
  capacitor("C12", "supply.input-capacitor", "feed", "gnd", "aluminium electrolytic, 105 C", 63),
  part("U2", "chip", pins("VIN+ GND- VOUT<", { VIN: "feed", GND: "gnd", VOUT: "5v" }), {
    part: "5 V step-down converter for cars",
    value: "supply.five-current",
    rating: { volts: "supply.converter-input", amps: "supply.five-current" },
  }),
  capacitor("C13", "decouple.large", "5v", "gnd", "ceramic X7R", 16),
  part("U3", "chip", pins("VIN+ GND- VOUT<", { VIN: "5v", GND: "gnd", VOUT: "3v3" }), {
    part: "3.3 V linear regulator, 1 %",
    value: "adc.reference",
    tolerancePercent: 1,
    rating: { volts: 6 },
  }),
  capacitor("C14", "decouple.large", "3v3", "gnd", "ceramic X7R", 16),
  part("U4", "chip", pins("VIN+ GND- VOUT< EN!", { VIN: "5v", GND: "gnd", VOUT: "sensor5", EN: "5v" }), {
    part: "current-limited switch for 5 V that blocks current back from its output",
    value: "supply.sensors-limit",
    rating: { volts: 20, amps: "supply.sensors-limit" },
  }),
  capacitor("C15", "decouple.large", "sensor5", "gnd", "ceramic X7R", 25),
  diode("D15", "schottky", "5v", "vsys", { part: "Schottky diode", rating: { volts: 30, amps: 1 } }),
];

const RAIL: readonly Part[] = [
  resistor("R11", "rail.feed", "5v", "rail"),
  resistor("R12", "rail.top", "rail", "rail.ref", 1),
  resistor("R13", "rail.bottom", "rail.ref", "gnd", 1),
  part("U5", "chip", pins("REF> A- K+", { REF: "rail.ref", A: "gnd", K: "rail" }), {
    part: "adjustable shunt regulator, 1 %",
    value: "rail.reference",
    tolerancePercent: 1,
    rating: { volts: 18, amps: "rail.sinks" },
  }),
  capacitor("C11", "rail.capacitor", "rail", "gnd", "ceramic X7R", 16),
];

const GROUNDS: readonly Part[] = [
  link("LK1"),
  link("LK2"),
  diode("D16", "diode", "gnd", "star", {
    part: "power diode, between two screws",
    value: "ground.lift",
    rating: { volts: 100, amps: 10 },
  }),
];

export const SUPPLY: readonly Part[] = [...POWER, ...REGULATORS, ...RAIL, ...GROUNDS];
