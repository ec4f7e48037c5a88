// Writes hardware-notes/wiring.md: every connector pin and every wire with gauge, fuse, current and drop, and the sums behind them.
import { CIRCUIT, endAt } from "../circuit/circuit.ts";
import type { Part, Wire } from "../circuit/part.ts";
import { FUSE_LOADS } from "../circuit/rules-ratings.ts";
import { GENERATED_NOTE, table } from "./markdown.ts";
import { si, written } from "./note-values.ts";

const wireAt = (end: string): Wire | undefined =>
  CIRCUIT.wires.find(({ from, to }) => from === end || to === end);

function far(end: string): string {
  const wire = wireAt(end)!;
  const other = wire.from === end ? wire.to : wire.from;
  return `${other} (${endAt(CIRCUIT, other).part.part})`;
}

function connectorRows({ ref, pins }: Part): string[][] {
  return pins.map(({ no, net }) => {
    const end = `${ref}.${no}`;
    const wire = wireAt(end)!;
    return [end, wire.what, net, wire.ref, far(end)];
  });
}

/** Voltage drop in the wire alone, V. */
export const dropOf = ({ metres, mm2, carries }: Wire): number =>
  (si(carries) * metres * si("wire.copper")) / mm2;

function fuseText({ fuse }: Wire): string {
  if (fuse === "-") return "-";
  if (fuse === "F9") return "F9, the car's own";
  const rated = CIRCUIT.parts.find(({ ref }) => ref === fuse)!.value!;
  return `${fuse}, ${written(rated)}`;
}

const wireRow = (wire: Wire): string[] => [
  wire.ref,
  wire.from,
  wire.to,
  wire.what,
  `${wire.mm2} mm2`,
  `${wire.metres} m`,
  fuseText(wire),
  written(wire.carries),
  `${dropOf(wire).toFixed(2)} V`,
];

/** Each fuse: rating, load for long, share of the rating, thinnest wire behind it. */
function fuseRows(): string[][] {
  const fuses = CIRCUIT.parts.filter(({ kind, value }) => kind === "fuse" && value !== undefined);
  return fuses.map(({ ref, value }) => {
    const behind = CIRCUIT.wires.filter(({ fuse }) => fuse === ref);
    const thinnest = Math.min(...behind.map(({ mm2 }) => mm2));
    const load = FUSE_LOADS[ref]!;
    const share = (100 * si(load)) / si(value!);
    const least = si(value!) / si("wire.fuse");
    return [ref, written(value!), written(load), `${share.toFixed(0)} %`, `${thinnest} mm2`, `${least} mm2`];
  });
}

/** The whole page. */
export function wiringDoc(): string {
  const connectors = CIRCUIT.parts.filter(({ kind }) => kind === "connector");
  return [
    `# Wiring\n\n${GENERATED_NOTE}\n\n`,
    `All ${CIRCUIT.wires.length} wires of box and harness, from \`shared-schema/circuit\`; parts stand in [parts.md](parts.md). Gauges and lengths are assumed for the example coils: with others, take their makers' data.\n`,
    `A fuse has at most ${written("wire.fuse")} for each mm2 of the wires behind it, and carries ${written("supply.fuse-share")} of its rating for long. Drop: current x length x ${written("wire.copper")} m for 1 mm2, one way.\n`,
    "Twist each coil's two wires. Shield the pulse wires and ground the shield at the controller only: X5 has no pin for it, so join both shields to W418 at the plug of X4. A Hall sensor takes its 5 V and its ground from the pins of a sensor at X4 that you do not fit (its current counts against the limit of U4), or from the engine's harness.\n\n",
    "## Fuses\n\n",
    table(
      [
        "fuse",
        "rating",
        "load for long",
        "share",
        "thinnest wire behind it",
        "least that its rating asks for",
      ],
      fuseRows(),
    ),
    ...connectors.map(
      (part) =>
        `\n## ${part.ref}: ${part.part}\n\n${table(["pin", "what", "net", "wire", "leads to"], connectorRows(part))}`,
    ),
    "\n## Wires\n\n",
    table(
      ["wire", "from", "to", "what", "gauge", "length", "fuse", "carries", "drop"],
      CIRCUIT.wires.map(wireRow),
    ),
    "\nWhat a meter must show, step by step, stands in [first-power-up.md](first-power-up.md).\n",
  ].join("");
}
