// Which parts stand on which schematic sheet, in which order; together the sheets hold every part of the circuit once.
import { CIRCUIT, partOf } from "../circuit/circuit.ts";
import { LOGIC_OUTPUTS, VALVES } from "../circuit/drivers.ts";
import { PULSES, SENSORS, SWITCHES } from "../circuit/inputs.ts";
import { chips } from "./chip.ts";
import { Ladder } from "./ladder.ts";
import { SHEET_WIDTH, sheetSvg } from "./pen.ts";

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
  ["Grounds", "LK1 LK2 D16"],
  ["Battery tap", "R1705 R1706 C1701 D1704"],
  ["Driver supply's tap", "R1805 R1806 C1801 D1804"],
  ["Clamp rail", "R11 C11 R12 R13"],
];

const PUMP: Sheet["ladders"] = [
  ["Keep-alive", "J1 R7"],
  ["First phase", "R1 C1 D1 D2 C3 R3 R9 R4 Q1"],
  ["Second phase", "R2 C2 D3 D4"],
  ["Switch of the relay's coil", "D5 R10 R5 D6 R6"],
  ["Relay's coil and its clamp", "Q2 D8 D9 D7"],
];

const inputRefs = (n: number): string => `R${n}01 R${n}02 C${n}01 D${n}01`;

const sensors = SENSORS.map((name, i): [string, string] => [name, inputRefs(11 + i)]);
const switches = SWITCHES.map((name, i): [string, string] => [
  name.replace("Switch", ""),
  `R${21 + i}01 R${21 + i}02 R${21 + i}03 C${21 + i}01 D${21 + i}01`,
]);
const pulses = PULSES.map((name, i): [string, string] => [`${name} pulses`, inputRefs(31 + i)]);

const INPUT_SHEETS: readonly Sheet[] = [
  sheet("sensors-1", "Sensor inputs: throttle, manifold, bottle", sensors.slice(0, 3)),
  sheet("sensors-2", "Sensor inputs: fuel, lambda, coolant", sensors.slice(3)),
  sheet("switches-1", "Switch inputs: arm, throttle, launch, purge", switches.slice(0, 4)),
  sheet("switches-2", "Switch inputs: heater, bottle valve, enrichment", switches.slice(4)),
  sheet("pulses", "Pulse inputs", pulses),
];

/** All sheets, in the order in which they are read. */
export const SHEETS: readonly Sheet[] = [
  sheet("supply-1", "Supply: polarity relay and what the controller lives on", SUPPLY.slice(0, 2)),
  sheet("supply-2", "Supply: driver supply, grounds, battery tap", SUPPLY.slice(2, 5)),
  sheet("supply-3", "Supply: driver supply's tap, clamp rail, converters", SUPPLY.slice(5), "U2 U3 U4 U5"),
  sheet("board", "The board and the serial line", [["Serial line", "R51 R52"]], "A1"),
  sheet("outputs", "Logic outputs, and capacitors of the buffers", [
    ["Logic outputs", LOGIC_OUTPUTS.map((_, i) => `R${41 + i}01 R${41 + i}02`).join(" ")],
    ["At the chips", "C21 C22 C23"],
  ]),
  sheet("buffers", "Buffers and inverters", [], "U6 U7 U1"),
  sheet(
    "converters",
    "Converters",
    [
      ["Selects", "R42 R43"],
      ["At the chips", "C24 C25 C27 C28"],
    ],
    "U8 U9",
  ),
  sheet(
    "register",
    "Switch register",
    [
      ["Data line", "R41"],
      ["At the chip", "C26"],
    ],
    "U10",
  ),
  sheet("way-2-pump", "Way 2: charge pump", PUMP.slice(0, 3)),
  sheet("way-2-coil", "Way 2: the master relay's coil", PUMP.slice(3)),
  ...[1, 2, 3, 4].map((n) => sheet(`drivers-${n}`, `Drivers: stage ${n}`, drivers(2 * n - 1, 2 * n))),
  sheet("drivers-5", "Drivers: bottle valve, purge valve, heater relay", [
    ...drivers(9, 10),
    driver(19, "heater"),
  ]),
  ...INPUT_SHEETS,
  sheet("connectors-1", "Connectors of the box: supply, serial line, relays, valves", [], "X1 X6 X5 X8 X2"),
  sheet("connectors-2", "Connectors of the box: switches and sensors", [], "X3 X4"),
  sheet("car-1", "In the car: key and coils of the valves", [
    ["Key", "F9 S2"],
    ["Coils of the valves", VALVES.map((_, i) => `Y${i + 1}`).join(" ")],
  ]),
  sheet("car-2", "In the car: switches and heater relay", [
    ["Switches", SWITCHES.map((_, i) => `S${i === 0 ? 1 : i + 2}`).join(" ")],
    ["Heater relay", "K3"],
  ]),
  sheet("car-3", "In the car: battery, sensors, engine computer", [], "BT1 B1 B2 B3 B4 B5 B6 B7 B8 E1 E2"),
];

/** References on a sheet. */
export const refsOn = ({ ladders, boxes }: Sheet): string[] =>
  [...ladders.map(([, refs]) => refs), boxes].join(" ").split(" ").filter(Boolean);

const LEFT = 30;
const RIGHT = SHEET_WIDTH - 30;
const SAID =
  "One name is one net on all sheets (nets.md lists its pins). gnd: logic plane; star: the drivers' ground. A part's last line: what it withstands.";

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
  return sheetSvg(title, SAID, SHEET_WIDTH, Math.ceil(bottom) + 20, [ladder.svg, drawn.svg].join("\n"));
}
