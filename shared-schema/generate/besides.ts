// What a builder buys besides the parts of the circuit: counted from the netlist where it can be, so that one order is enough.
import { CIRCUIT } from "../circuit/circuit.ts";
import type { Part } from "../circuit/part.ts";
import { BOARD, pinHoles, place } from "../layout/layout.ts";
import { links, STAR_BAR } from "../layout/links.ts";
import { table } from "./markdown.ts";
import { written } from "./note-values.ts";

const ofKind = (kind: Part["kind"]): Part[] => CIRCUIT.parts.filter((part) => part.kind === kind);
const refs = (parts: readonly Part[]): string => parts.map(({ ref }) => ref).join(", ");

/** Sockets of chips by their number of pins. */
function sockets(): string[][] {
  const chips = ofKind("chip").filter(({ pins, ref }) => pins.length > 8 && ref !== "A1");
  const sizes = [...new Set(chips.map(({ pins }) => pins.length))].sort((a, b) => a - b);
  return sizes.map((size) => {
    const own = chips.filter(({ pins }) => pins.length === size);
    return [String(own.length), `socket of ${size} pins, 7.62 mm between the rows`, refs(own)];
  });
}

/** Wire by its gauge: how much the harness takes, a tenth more for ends and bends. */
function wire(): string[][] {
  const gauges = [...new Set(CIRCUIT.wires.map(({ mm2 }) => mm2))].sort((a, b) => b - a);
  return gauges.map((mm2) => {
    const own = CIRCUIT.wires.filter((one) => one.mm2 === mm2);
    const metres = own.reduce((sum, one) => sum + one.metres, 0);
    return [
      `${Math.ceil(metres * 1.1)} m`,
      `copper wire for cars, ${mm2} mm2, 105 C`,
      `${own.length} wires of the harness`,
    ];
  });
}

/** Fused supplies to which the clamps lead: the suppressors of each may share their cooling, those of two never. */
function strips(): string[] {
  const ends = CIRCUIT.parts
    .filter(({ value }) => value === "clamp.voltage")
    .flatMap(({ pins }) => pins.map(({ net }) => net));
  return [...new Set(ends.filter((net) => /^(stage\d|valves|feed)$/.test(net)))];
}

/** Length of the board's links of one gauge, m; the logic plane's are no wires. */
function linkMetres(mm2: number): number {
  const pins = pinHoles(place());
  const holes = links(pins)
    .filter((link) => link.net !== "gnd" && link.mm2 === mm2)
    .map(({ from, toHole: [x, y] }) => {
      const [a, b] = pins.get(from)!.hole;
      return Math.abs(a - x) + Math.abs(b - y) + 2;
    });
  return Math.ceil((holes.reduce((sum, each) => sum + each, 0) * 2.54) / 1000);
}

/** For the steps of first-power-up.md. */
const BENCH: readonly string[][] = [
  ["2", `blade fuse, ${written("bench.fuse")}`, "F1 on the bench, and one to spare"],
  ["1", `fuse, ${written("bench.key-fuse")}, with a holder for the wire`, "the key wire on the bench"],
  ["10", `filament lamp, 12 V, ${written("bench.lamp")} or less`, "in place of the coils"],
  ["10", "spare relay, 12 V, without diode or resistor of its own", "dummy coils"],
  ["2", "potentiometer, 1 kohm", "bottle and fuel pressure on the bench"],
  ["1", "bench supply, 0 V to 15 V, 5 A, with a limit of current", "first power"],
  [
    "1",
    "meter with a diode range; oscilloscope of two channels, 10 MHz or more, with probes for 100 V",
    "test points",
  ],
  ["1", "resistor, 100 ohm, 2 W", "the test of D5"],
];

function rows(): string[][] {
  const [fuses, relays, transistors] = [ofKind("fuse"), ofKind("relay"), ofKind("n-fet")];
  const held = fuses.filter(({ value }) => value !== undefined);
  const size = `${Math.round(BOARD.columns * 2.54)} mm by ${Math.round(BOARD.rows * 2.54)} mm`;
  return [
    [
      "1",
      `perforated board, ${BOARD.columns} by ${BOARD.rows} holes of 2.54 mm, ${size}, or two beside each other`,
      "[layout.md](layout.md)",
    ],
    [
      "1",
      "aluminium box, 250 mm by 160 mm by 80 mm inside or more, its wall 0.5 kg or more where the transistors are bolted",
      "[heat and box](supply-and-wiring.md#heat)",
    ],
    ["1", "pressure vent that keeps water out, in the lowest wall; flat seal for the lid", "the box"],
    ["2", "socket strips of 20 holes", "A1"],
    ...sockets(),
    [String(relays.length), "socket for a relay, with its contacts for 6 mm2 and 0.5 mm2", refs(relays)],
    [
      String(held.length),
      "holder for a blade fuse; that of F1 within 0.2 m of the battery, sealed",
      refs(held),
    ],
    [String(transistors.length), "insulating pad, bush and screw M3 for a TO-220", refs(transistors)],
    [
      String(strips().length),
      "copper strip of 40 mm by 20 mm by 2 mm at the wall, insulated from it: the suppressors of one fused supply have their leads at that supply soldered to it",
      strips().join(", "),
    ],
    [
      "1",
      `copper bar of ${STAR_BAR.mm2} mm2 or more, as long as the board is wide, as the star; two bolts M6 with washers for its ends`,
      "[layout.md](layout.md), [grounds](supply-and-wiring.md#grounds)",
    ],
    ["4", "screw M3 with washers, for the ends of the links", "LK1, LK2"],
    ...ofKind("connector")
      .filter(({ part }) => part.includes("sealed"))
      .map(({ ref, pins }): string[] => [
        "1",
        `the other half of ${ref}, ${pins.length} crimp contacts and seals on each side`,
        ref,
      ]),
    ...wire(),
    [`${linkMetres(0.25)} m`, "solid copper wire, 0.25 mm2, in two colours or more", "links of the board"],
    [
      `${linkMetres(1.5)} m`,
      "bare copper wire, 1.5 mm2, with sleeve where it crosses",
      "links that carry a coil's current",
    ],
    [`${linkMetres(2.5)} m`, "copper wire, 2.5 mm2", "LK1 and LK2, to the star"],
    [
      `${linkMetres(6)} m`,
      "copper wire, 6 mm2, or bar of that section",
      "links of the board that carry the whole current: main, drv, X1 to the star",
    ],
    ["6 m", "shielded cable with one core, 0.5 mm2", "W501, W502"],
    ...BENCH,
    ["1", "copper foil or bare grid, 100 mm by 100 mm", "logic plane"],
  ];
}

/** The section. */
export const besides = (): string =>
  [
    "\n## What else to buy\n\n",
    "Counted from the netlist where it can be; wire with a tenth for ends and bends. Lengths of links and sizes of box and strip are assumed.\n\n",
    table(["number", "what", "for"], rows()),
    "\n## How parts are to be had\n\n",
    "- Parts with legs for holes of 2.54 mm fit the plan of the board. What is sold for surface mounting only (as a rule U4, often U2 as a finished module) sits on an adapter with legs.\n",
    "- Driver transistors in a TO-220, whose tab is the drain: it **must** be insulated from the wall. Q2 in a TO-220 or smaller; it needs no cooling.\n",
    '- A driver transistor gets 4.5 V or more at its gate: "logic level" in its data sheet means a resistance stated at 4.5 V or less.\n',
    "- Suppressors are named by their **breakdown**, which data sheets list beside the stand-off; those of 1500 W have thick leads, which carry their heat.\n",
    "- A pair of Schottky diodes comes in one case with three legs, or as two diodes: anode of one on ground, cathode of the other on the rail.\n",
    "- Look up the order of the legs of every transistor, regulator and relay in its maker's data sheet: only chip numbers fix it here, and those are from memory.\n",
  ].join("");
