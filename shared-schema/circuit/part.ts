// The form of a circuit as data: parts with their pins on nets, wires between pins; and short functions that write parts.

/** What a part is to the rules and to the analysis of faults. */
export type Kind =
  | "resistor"
  | "capacitor"
  | "diode"
  | "schottky"
  | "schottky pair"
  | "zener"
  | "suppressor"
  | "npn"
  | "n-fet"
  | "p-fet"
  | "relay"
  | "fuse"
  | "switch"
  | "jumper"
  | "link"
  | "chip"
  | "connector"
  | "splice"
  | "battery"
  | "coil"
  | "load"
  | "sensor"
  | "sender";

/** What a pin does to its net; `open` is left unconnected on purpose. */
export type PinType = "in" | "out" | "enable" | "power" | "ground" | "passive" | "open";

export interface CircuitPin {
  /** Number on the package, or the usual letter of a part with two or three legs. */
  readonly no: string;
  readonly name: string;
  readonly type: PinType;
  /** Empty for a pin that is open on purpose. */
  readonly net: string;
}

/** What a part withstands: volts, amperes, watts. A text names the key of a value. */
export interface Rating {
  readonly volts?: number | string;
  readonly amps?: number | string;
  readonly watts?: number | string;
}

export interface Part {
  readonly ref: string;
  readonly kind: Kind;
  /** Type by words or chip number; no brand beyond chip numbers. */
  readonly part: string;
  /** Key of its value in hardware-notes/values.json. */
  readonly value?: string;
  readonly tolerancePercent?: number;
  readonly rating: Rating;
  readonly pins: readonly CircuitPin[];
  /** On the board, in the box beside it, or in the car. */
  readonly place: "board" | "box" | "car";
}

/** A wire between two pins, each written as `X2.1`. Every wire is copper. */
export interface Wire {
  readonly ref: string;
  readonly from: string;
  readonly to: string;
  readonly mm2: number;
  readonly metres: number;
  /** Reference of the fuse that protects it; `-` when nothing but the part in series limits its current. */
  readonly fuse: string;
  /** Key of the value, in amperes, that it carries for long at most. */
  readonly carries: string;
  readonly what: string;
}

export interface Circuit {
  readonly parts: readonly Part[];
  readonly wires: readonly Wire[];
}

export type More = Partial<Omit<Part, "ref" | "kind" | "pins">>;

/** One pin. */
export function pin(no: number | string, name: string, type: PinType, net = ""): CircuitPin {
  return { no: String(no), name, type, net };
}

/** A part of any kind; it stands on the board unless told otherwise. */
export function part(ref: string, kind: Kind, pins: readonly CircuitPin[], more: More = {}): Part {
  return { ref, kind, part: kind, rating: {}, place: "board", ...more, pins };
}

/** A part with two equal legs, 1 and 2. */
export function two(ref: string, kind: Kind, a: string, b: string, more: More = {}): Part {
  return part(ref, kind, [pin(1, "1", "passive", a), pin(2, "2", "passive", b)], more);
}

/** A resistor of 0.25 W by its value's key; 5 % unless told otherwise. */
export function resistor(ref: string, value: string, a: string, b: string, percent = 5, watts = 0.25): Part {
  return two(ref, "resistor", a, b, {
    part: "metal film",
    value,
    tolerancePercent: percent,
    rating: { watts },
  });
}

/** A capacitor by its value's key, with its rated voltage. */
export function capacitor(
  ref: string,
  value: string,
  a: string,
  b: string,
  type: string,
  volts: number,
): Part {
  const percent = type.startsWith("film") || type.includes("X7R") ? 10 : 20;
  return two(ref, "capacitor", a, b, { part: type, value, tolerancePercent: percent, rating: { volts } });
}

/** A diode of any kind, from anode to cathode. */
export function diode(ref: string, kind: Kind, anode: string, cathode: string, more: More = {}): Part {
  return part(ref, kind, [pin("A", "A", "passive", anode), pin("K", "K", "passive", cathode)], more);
}

/** Two small Schottky diodes that hold a net between ground and the clamp rail. */
export function clampPair(ref: string, net: string): Part {
  const pins = [
    pin("A", "A", "passive", "gnd"),
    pin("AK", "AK", "passive", net),
    pin("K", "K", "passive", "rail"),
  ];
  return part(ref, "schottky pair", pins, {
    part: "pair of small Schottky diodes",
    rating: { volts: 30 },
  });
}

/** Pins of a chip, in order: `VCC+` is power, `GND-` ground, `A>` an input, `Y<` an output, `OE!` an enable, `NC` open. */
export function pins(list: string, nets: Readonly<Record<string, string>>): CircuitPin[] {
  const types: Readonly<Record<string, PinType>> = {
    "+": "power",
    "-": "ground",
    ">": "in",
    "<": "out",
    "!": "enable",
    "~": "passive",
  };
  return list.split(" ").map((word, i) => {
    const name = word.slice(0, -1);
    const net = nets[name];
    return net === undefined || net === ""
      ? pin(i + 1, name, "open")
      : pin(i + 1, name, types[word.slice(-1)]!, net);
  });
}

/** Nets of a numbered row of pins: A1, A2, ... */
export function numbered(letter: string, nets: readonly string[], from = 1): Record<string, string> {
  return Object.fromEntries(nets.map((net, i) => [`${letter}${i + from}`, net]));
}
