// Which parts stand on which schematic sheet, in which order; together the sheets hold every part of the circuit once.
import { CIRCUIT, partOf } from "../circuit/circuit.ts";
import { LOGIC_OUTPUTS, VALVES } from "../circuit/drivers.ts";
import { PULSES, SENSORS, SWITCHES } from "../circuit/inputs.ts";
import { chips } from "./chip.ts";
import { Ladder } from "./ladder.ts";
import { sheetSvg } from "./pen.ts";

/** Ladders by their titles, and parts that are boxes. */
export interface Sheet {
  readonly file: string;
  readonly title: string;
  readonly ladders: readonly (readonly [title: string, refs: string])[];
  readonly boxes: string;
}

const sheet = (file: string, title: string, ladders: Sheet["ladders"], boxes = ""): Sheet => ({
  file,
  title,
  ladders,
  boxes,
});

/** Parts of one driver in the order of the signal. */
function driver(n: number, name: string): [string, string] {
  const read = n <= 8 ? ` D${n}03 R${n}04 R${n}05 R${n}06 C${n}01 D${n}04` : "";
  return [`Channel ${n}: ${name}`, `R${n}01 R${n}02 R${n}03 Q${n}01 D${n}02 D${n}01${read}`];
}

const drivers = (from: number, to: number): [string, string][] =>
  VALVES.slice(from - 1, to).map((name, i) => driver(from + i, name));

const SUPPLY: Sheet["ladders"] = [
  ["Polarity relay", "F1 D11 D12 K2"],
  ["Controller's supply, load-dump suppressor, converters", "F2 D14 D13 C12 C13 C14 C15 D15 C29"],
  ["Driver supply", "K1 F3 F4 F5 F6 F7 R8"],
  ["Battery tap", "R1705 R1706 C1701 D1704"],
  ["Driver supply's tap", "R1805 R1806 C1801 D1804"],
  ["Clamp rail", "R11 C11 R12 R13"],
  ["Grounds", "LK1 LK2 D16"],
];

const PUMP: Sheet["ladders"] = [
  ["Keep-alive", "J1 R7"],
  ["First phase", "R1 C1 D1 D2 C3 R3 R9 R4 Q1"],
  ["Second phase", "R2 C2 D3 D4"],
  ["Switch of the relay's coil", "D5 R10 R5 D6 R6"],
  ["Relay's coil and its clamp", "Q2 D8 D9 D7"],
];

const inputRefs = (n: number, clamp = true): string => `R${n}01 R${n}02 C${n}01${clamp ? ` D${n}01` : ""}`;

/** All sheets, in the order in which they are read. */
export const SHEETS: readonly Sheet[] = [
  sheet("supply-1", "Supply: relays, fuses, grounds", SUPPLY.slice(0, 3).concat(SUPPLY.slice(6))),
  sheet("supply-2", "Supply: converters, taps, clamp rail", SUPPLY.slice(3, 6), "U2 U3 U4 U5"),
  sheet("board", "The board and the serial line", [["Serial line", "R51 R52"]], "A1"),
  sheet(
    "buffers",
    "Buffers, inverters, logic outputs",
    [
      ...LOGIC_OUTPUTS.map((name, i): [string, string] => [name, `R${41 + i}01 R${41 + i}02`]),
      ["At the chips", "C21 C22 C23"],
    ],
    "U6 U7 U1",
  ),
  sheet(
    "converters",
    "Converters and switch register",
    [
      ["Selects and data line", "R42 R43 R41"],
      ["At the chips", "C24 C25 C26 C27 C28"],
    ],
    "U8 U9 U10",
  ),
  sheet("way-2", "Way 2: charge pump and the master relay's coil", PUMP),
  sheet("drivers-1", "Drivers: stages 1 and 2", drivers(1, 4)),
  sheet("drivers-2", "Drivers: stages 3 and 4", drivers(5, 8)),
  sheet("drivers-3", "Drivers: bottle valve, purge valve, heater relay", [
    ...drivers(9, 10),
    driver(19, "heater"),
  ]),
  sheet(
    "sensors",
    "Sensor inputs",
    SENSORS.map((name, i): [string, string] => [name, inputRefs(11 + i)]),
  ),
  sheet("switches", "Switch and pulse inputs", [
    ...SWITCHES.map((name, i): [string, string] => [
      name.replace("Switch", ""),
      `R${21 + i}01 R${21 + i}02 R${21 + i}03 C${21 + i}01 D${21 + i}01`,
    ]),
    ...PULSES.map((name, i): [string, string] => [`${name} pulses`, inputRefs(31 + i)]),
  ]),
  sheet("connectors", "Connectors of the box", [], "X1 X6 X5 X8 X2 X3 X4"),
  sheet(
    "car",
    "In the car",
    [
      ["Key", "F9 S2"],
      ["Coils of the valves", VALVES.map((_, i) => `Y${i + 1}`).join(" ")],
      ["Switches", SWITCHES.map((_, i) => `S${i === 0 ? 1 : i + 2}`).join(" ")],
      ["Heater relay", "K3"],
    ],
    "BT1 B1 B2 B3 B4 B5 B6 B7 B8 E1 E2",
  ),
];

/** References on a sheet. */
export const refsOn = ({ ladders, boxes }: Sheet): string[] =>
  [...ladders.map(([, refs]) => refs), boxes].join(" ").split(" ").filter(Boolean);

const WIDTH = 1500;
const LEFT = 30;
const RIGHT = WIDTH - 30;
const SAID =
  "Equal net names are one net, on this sheet and on every other. Values, tolerances and ratings stand beside each part; gnd is the logic plane, star the drivers' ground.";

/** A sheet as SVG. */
export function drawSheet({ title, ladders, boxes }: Sheet): string {
  const ladder = new Ladder(CIRCUIT, LEFT, RIGHT, 86);
  for (const [name, refs] of ladders) ladder.add(name, refs.split(" "));
  const top = ladders.length > 0 ? ladder.bottom : 90;
  const parts = boxes.split(" ").filter(Boolean);
  const drawn = chips(
    parts.map((ref) => partOf(CIRCUIT, ref)),
    LEFT,
    RIGHT,
    top,
  );
  const bottom = parts.length > 0 ? drawn.bottom : top;
  return sheetSvg(title, SAID, WIDTH, Math.ceil(bottom) + 20, [ladder.svg, drawn.svg].join("\n"));
}
