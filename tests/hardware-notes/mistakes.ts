// Mistakes that somebody could make in the circuit, by name: each with the rule that must find it.
import { type Circuit, diode, type Part } from "#shared-schema/circuit/part.ts";

export interface Mistake {
  readonly name: string;
  readonly rule: string;
  readonly plant: (circuit: Circuit) => Circuit;
}

/** Changes one part. */
export function change(ref: string, edit: (part: Part) => Part): (circuit: Circuit) => Circuit {
  return (circuit) => {
    if (!circuit.parts.some((part) => part.ref === ref)) throw new Error(`no part ${ref}`);
    return { ...circuit, parts: circuit.parts.map((part) => (part.ref === ref ? edit(part) : part)) };
  };
}

/** Puts a pin of a part on another net; an empty net leaves it open. */
export function move(end: string, net: string): (circuit: Circuit) => Circuit {
  const [ref, name] = end.split(".");
  return change(ref!, (part) => {
    if (!part.pins.some((pin) => pin.name === name)) throw new Error(`no pin ${end}`);
    return { ...part, pins: part.pins.map((pin) => (pin.name === name ? { ...pin, net } : pin)) };
  });
}

/** Takes parts and wires out. */
export const leaveOut =
  (...refs: string[]) =>
  ({ parts, wires }: Circuit): Circuit => ({
    parts: parts.filter(({ ref }) => !refs.includes(ref)),
    wires: wires.filter(({ ref }) => !refs.includes(ref)),
  });

/** One after the other. */
export const all =
  (...steps: readonly ((circuit: Circuit) => Circuit)[]) =>
  (circuit: Circuit): Circuit =>
    steps.reduce((now, step) => step(now), circuit);

const rated = (ref: string, rating: Part["rating"]) => change(ref, (part) => ({ ...part, rating }));
const wire =
  (ref: string, edit: object) =>
  (circuit: Circuit): Circuit => ({
    ...circuit,
    wires: circuit.wires.map((one) => (one.ref === ref ? { ...one, ...edit } : one)),
  });

/** The grounds as they once were: one link, no diode, Q1 on the star. */
export const OLD_GROUND = all(leaveOut("LK2", "D16"), move("Q1.E", "star"));
/** Q2 as it once was: its source on the arm switch, no diode. */
export const OLD_DIODE = all(leaveOut("D5"), move("Q2.S", "arm"), move("R5.1", "arm"), move("D6.K", "arm"));
/** Reversed polarity as it once was: no K2, no D14, the battery straight at everything, and no diode at Q2. */
export const NO_POLARITY_RELAY = all(
  OLD_DIODE,
  leaveOut("D14"),
  move("K2.87", "main.in"),
  move("F2.2", "feed"),
);

/** The clamps of all inputs as they once were: into the converters' own 3.3 V, which can only source. */
export const OLD_CLAMPS = all(leaveOut("R11", "R12", "R13", "U5", "C11"), (circuit) => ({
  ...circuit,
  parts: circuit.parts.map((part) => ({
    ...part,
    pins: part.pins.map((pin) => (pin.net === "rail" ? { ...pin, net: "3v3" } : pin)),
  })),
}));
/** Ratings as they once were, by the rule that finds them. */
export const OLD_NUMBERS: Readonly<Record<string, (circuit: Circuit) => Circuit>> = {
  "fuses carry their load for long": rated("F1", { amps: 30 }),
  "clamps stand their heat": rated("D101", { watts: 3 }),
  "resistors stand their heat": rated("R8", { watts: 0.5 }),
  "the gate of Q2 is held": leaveOut("D6"),
};

const OFF = "each output is pulled to off";
const CHAIN = "each pin leads to its coil";

export const MISTAKES: readonly Mistake[] = [
  { name: "the old ground", rule: "nothing joins logic ground and star alone", plant: OLD_GROUND },
  { name: "the old ground, its diode", rule: "a diode joins them besides", plant: OLD_GROUND },
  { name: "the old ground, Q1", rule: "pump on logic ground, drivers on the star", plant: OLD_GROUND },
  {
    name: "the diode of the ground the wrong way round",
    rule: "a diode joins them besides",
    plant: all(move("D16.A", "star"), move("D16.K", "gnd")),
  },
  { name: "one ground wire", rule: "two ground wires", plant: leaveOut("W2") },
  { name: "the old diode: none at Q2's source", rule: "a diode in front of Q2", plant: OLD_DIODE },
  { name: "R5 in front of D5", rule: "each output is pulled to off", plant: move("R5.1", "arm") },
  {
    name: "a wire past D5",
    rule: "a diode in front of Q2",
    plant: change("R5", (part) => ({
      ...part,
      pins: [
        { ...part.pins[0]!, net: "arm" },
        { ...part.pins[1]!, net: "pump.source" },
      ],
    })),
  },
  {
    name: "two swapped pins of the board",
    rule: "pins as in the pin table",
    plant: all(move("A1.GP8", "fuel1"), move("A1.GP9", "nitrous1")),
  },
  {
    name: "two swapped gates",
    rule: CHAIN,
    plant: all(move("Q101.G", "fuel1.gate"), move("Q201.G", "nitrous1.gate")),
  },
  {
    name: "two swapped drains in the plug",
    rule: CHAIN,
    plant: all(move("X2.2", "fuel1.drain"), move("X2.4", "nitrous1.drain")),
  },
  {
    name: "two swapped outputs of a buffer",
    rule: CHAIN,
    plant: all(move("U7.Y1", "bottleValve.buffer"), move("U7.Y2", "purge.buffer")),
  },
  {
    name: "two swapped channels of ADC A",
    rule: "each channel sees its input",
    plant: all(move("U8.CH2", "fuel.adc"), move("U8.CH3", "bottle.adc")),
  },
  {
    name: "two swapped channels of ADC B",
    rule: "each channel sees its input",
    plant: all(move("U9.CH0", "fuel1.tap"), move("U9.CH1", "nitrous1.tap")),
  },
  {
    name: "two swapped bits of the register",
    rule: "each channel sees its input",
    plant: all(move("U10.A", "heater.register"), move("U10.B", "purge.register")),
  },
  {
    name: "a register whose serial input is low",
    rule: "each channel sees its input",
    plant: move("U10.SER", "gnd"),
  },
  { name: "a missing pull-down at a pin", rule: OFF, plant: leaveOut("R101") },
  { name: "a missing pull-down at a gate", rule: OFF, plant: leaveOut("R103") },
  { name: "a missing pull-down of the keep-alive", rule: OFF, plant: leaveOut("R7") },
  { name: "a pull-down to the wrong ground", rule: OFF, plant: move("R103.2", "gnd") },
  { name: "a missing pull-up at a select", rule: OFF, plant: leaveOut("R42") },
  {
    name: "a pin of the buffer that nobody drives",
    rule: "no floating input",
    plant: move("U6.A1", "nowhere"),
  },
  { name: "a base that hangs in the air", rule: "no floating input", plant: leaveOut("R4") },
  { name: "an end that leads nowhere", rule: "no net with one end", plant: move("R102.1", "nowhere") },
  { name: "a coil without its wire", rule: "each connector pin has its wire", plant: leaveOut("W201") },
  {
    name: "a reference given twice",
    rule: "each reference once",
    plant: change("R103", (part) => ({ ...part, ref: "R203" })),
  },
  { name: "a buffer without supply", rule: "each chip has supply and ground", plant: move("U6.VCC", "") },
  {
    name: "a chip whose ground is the star",
    rule: "each chip has supply and ground",
    plant: move("U1.GND", "star"),
  },
  { name: "a chip without its capacitor", rule: "each chip has its capacitor", plant: leaveOut("C22") },
  { name: "an enable of a buffer left open", rule: "enables are tied", plant: move("U6.OE1", "nowhere") },
  { name: "a clock inhibit left open", rule: "enables are tied", plant: move("U10.INH", "nowhere") },
  { name: "a spare gate left open", rule: "spare gates are tied", plant: move("U1.3A", "nowhere") },
  {
    name: "a driver transistor of 60 V",
    rule: "voltages within ratings",
    plant: rated("Q101", { volts: 60, amps: 20 }),
  },
  {
    name: "a Q2 of 60 V, which the relay's clamp takes higher",
    rule: "voltages within ratings",
    plant: rated("Q2", { volts: 60, amps: 3 }),
  },
  { name: "a bias diode of 50 V", rule: "voltages within ratings", plant: rated("D103", { volts: 50 }) },
  {
    name: "a limiter of 6 V, whose output a sensor wire on the battery destroys",
    rule: "voltages within ratings",
    plant: rated("U4", { volts: 6 }),
  },
  { name: "a converter for 40 V", rule: "voltages within ratings", plant: rated("U2", { volts: 40 }) },
  {
    name: "a bleeder of 0.5 W",
    rule: "resistors stand their heat",
    plant: OLD_NUMBERS["resistors stand their heat"]!,
  },
  {
    name: "a suppressor of 600 W in a clamp",
    rule: "clamps stand their heat",
    plant: OLD_NUMBERS["clamps stand their heat"]!,
  },
  {
    name: "no Zener diode at Q2",
    rule: "the gate of Q2 is held",
    plant: OLD_NUMBERS["the gate of Q2 is held"]!,
  },
  { name: "a coil's wire of 0.5 mm2", rule: "fuses fit wires and loads", plant: wire("W201", { mm2: 0.5 }) },
  {
    name: "a main fuse of 30 A",
    rule: "fuses carry their load for long",
    plant: OLD_NUMBERS["fuses carry their load for long"]!,
  },
  { name: "a relay of 20 A", rule: "contacts stand their current", plant: rated("K1", { amps: 20 }) },
  {
    name: "a second diode across D5",
    rule: "a diode in front of Q2",
    plant: (circuit) => ({
      ...circuit,
      parts: [...circuit.parts, diode("D99", "diode", "arm", "pump.source", { rating: { volts: 400 } })],
    }),
  },
];
