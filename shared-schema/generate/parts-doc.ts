// Writes hardware-notes/parts.md: every part of the circuit by value and rating, equal ones in one row with their number.
import { CIRCUIT } from "../circuit/circuit.ts";
import type { Part } from "../circuit/part.ts";
import { ratingText } from "../sheets/text.ts";
import { besides } from "./besides.ts";
import { GENERATED_NOTE, table } from "./markdown.ts";
import { written } from "./note-values.ts";

const toleranceText = ({ tolerancePercent }: Part): string =>
  tolerancePercent === undefined ? "-" : `${tolerancePercent} %`;

function kindText({ kind, part }: Part): string {
  const plain = part.replace(/, at U\d+$|, at A1$/, "");
  return ["resistor", "capacitor"].includes(kind) ? `${kind}, ${plain}` : plain;
}

const what = (part: Part): string[] => [
  kindText(part),
  part.value === undefined ? "-" : written(part.value),
  toleranceText(part),
  ratingText(part),
];

function rows(place: Part["place"]): string[][] {
  const groups = new Map<string, Part[]>();
  for (const part of CIRCUIT.parts.filter((one) => one.place === place)) {
    const key = `${part.ref.replace(/\d.*/, "")} ${what(part).join("|")}`;
    groups.set(key, [...(groups.get(key) ?? []), part]);
  }
  return [...groups.values()].map((parts) => [
    String(parts.length),
    parts.map(({ ref }) => ref).join(", "),
    ...what(parts[0]!),
  ]);
}

const HEAD = ["number", "reference", "part", "value", "tolerance", "withstands"];
const SECTIONS: readonly (readonly [Part["place"], string, string])[] = [
  [
    "board",
    "On the board",
    "Pins and nets of each stand in [nets.md](nets.md), and in [circuit.net](circuit.net) for programs: Debian's pcb-rnd 3.0.6 imports it, and each of its nets and pins comes out as it stands here (it takes nets and pins alone: parts have no footprint in it).",
  ],
  [
    "box",
    "In the box, beside the board",
    "Relays sit in sockets, fuses in holders, connectors in the wall of the box.",
  ],
  [
    "car",
    "In the car",
    "What the box is connected to. The heater has a fuse, a limit and wires of its own, from its maker.",
  ],
];

/** The whole page. */
export function partsDoc(): string {
  return [
    `# Parts\n\n${GENERATED_NOTE}\n\n`,
    `All ${CIRCUIT.parts.length} parts of the circuit, from \`shared-schema/circuit\`. Equal parts share a row. In the drawings the first of equal channels stands for all: the first digits of a\n`,
    "reference are the channel (1 to 8 the solenoids in pin order, 9 bottle valve, 10 purge valve, 11 to 16 the sensors, 17 the battery\n",
    "tap, 18 the supply tap, 19 the heater relay, 21 to 27 the switches, 31 engine and 32 road pulses, 41 stage-active, 42 retard), so R203 is the gate pull-down of the second driver.\n\n",
    "Values and the ratings behind them are explained on the pages, each with its source; ratings are the least that will do. R3101 and R3201 are for a square wave of 12 V; for one of 5 V take\n",
    `${written("pulse.series-5")}. Pin numbers of chips and of the board are from memory: check them against the makers' drawings.\n`,
    ...SECTIONS.map(([place, title, text]) => `\n## ${title}\n\n${text}\n\n${table(HEAD, rows(place))}`),
    besides(),
  ].join("");
}
