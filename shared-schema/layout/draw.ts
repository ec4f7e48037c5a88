// The plan of the perforated board as a picture, and as a page with every hole and every link.
import { CIRCUIT, endAt } from "../circuit/circuit.ts";
import { GENERATED_NOTE } from "../generate/markdown.ts";
import { sheetSvg, words } from "../sheets/pen.ts";
import type { Hole } from "./footprints.ts";
import { BOARD, type Link, links, type Placed, pinHoles, place } from "./layout.ts";

const PITCH = 16;
const LEFT = 60;
const TOP = 110;
const spot = ([column, row]: Hole): [number, number] => [LEFT + PITCH * column, TOP + PITCH * row];

function scale(): string {
  const columns = Array.from({ length: BOARD.columns / 10 }, (_, i) => i * 10);
  const rows = Array.from({ length: Math.ceil(BOARD.rows / 10) }, (_, i) => i * 10);
  return [
    ...columns.map((column) => words([spot([column, 0])[0], TOP - 14], String(column), "t", "middle")),
    ...rows.map((row) => words([LEFT - 18, spot([0, row])[1] + 4], String(row), "t", "end")),
  ].join("");
}

function drawn({ part, at, footprint }: Placed): string {
  const [x, y] = spot(at);
  const [width, height] = [(footprint.width - 1) * PITCH + 12, (footprint.height - 1) * PITCH + 12];
  const legs = part.pins.map(({ no }, i) => {
    const [dx, dy] = footprint.holes.get(no)!;
    const [cx, cy] = spot([at[0] + dx, at[1] + dy]);
    const hole = `data-leg="${part.ref}.${no}"`;
    return i === 0
      ? `<rect ${hole} class="f" x="${cx - 3}" y="${cy - 3}" width="6" height="6"/>`
      : `<circle ${hole} class="f" cx="${cx}" cy="${cy}" r="2.6"/>`;
  });
  const name = `<text x="${x + width / 2 - 6}" y="${y + height / 2 - 2}" text-anchor="middle" style="font-size:10px;stroke:#fff;stroke-width:3px;paint-order:stroke">${part.ref}</text>`;
  return `<g data-ref="${part.ref}"><rect x="${x - 6}" y="${y - 6}" width="${width}" height="${height}" style="stroke-width:1"/>${legs.join("")}${name}</g>`;
}

/** The picture, seen from the side of the parts. */
export function layoutSvg(): string {
  const width = LEFT + PITCH * BOARD.columns + 30;
  const height = TOP + PITCH * BOARD.rows + 30;
  const rim = `<rect x="${LEFT - 12}" y="${TOP - 12}" width="${PITCH * (BOARD.columns - 1) + 24}" height="${PITCH * (BOARD.rows - 1) + 24}"/>`;
  return sheetSvg(
    "Perforated board, seen from the parts",
    `${BOARD.columns} by ${BOARD.rows} holes of 2.54 mm. A square is the first pin. Columns and rows count from 0 at the upper left. Links: layout.md.`,
    width,
    height,
    [rim, scale(), ...place().map(drawn)].join("\n"),
  );
}

/** Nets whose links carry what a coil or more draws: those of the thick wires, and what they lead to. */
const THICK = new Set([
  "star",
  ...CIRCUIT.wires
    .filter(({ mm2 }) => mm2 >= 1.5)
    .flatMap(({ from, to }) => [from, to].map((end) => endAt(CIRCUIT, end).pin.net)),
]);

/** The page. */
export function layoutDoc(): string {
  const placed = place();
  const pins = pinHoles(placed);
  const all = links(pins);
  const at = (pin: string): string => `${pin} (${pins.get(pin)!.hole.join(",")})`;
  const nets = [...new Set(all.map(({ net }) => net))].sort();
  const line = (net: string): string => {
    const own: Link[] = all.filter((link) => link.net === net);
    const wire = THICK.has(net) ? "1.5 mm2" : "0.25 mm2";
    return `- **${net}**, ${wire}: ${own.map(({ from, to }) => `${at(from)} to ${at(to)}`).join("; ")}\n`;
  };
  return [
    `# Perforated board\n\n${GENERATED_NOTE}\n\n`,
    "A plan to begin with, made by a simple rule from the netlist; nobody has built it.\n\n![The board](sheets/layout.svg)\n\n",
    `${placed.length} parts, connectors and fuses on one board of ${BOARD.columns} by ${BOARD.rows} holes, ${all.length} links. A test holds every link to the netlist. Holes are column, row. `,
    "Connectors of the wall and fuses stand here as the ends of their wires. The driver transistors stand at the lower rim, to be bolted to the wall. ",
    "Keep to these rules whatever you move:\n\n",
    "- The logic plane (gnd) is a sheet or a grid of bare copper under the whole of the logic, not a chain of wires; the star is one screw or bar at the lower rim. They meet at LK1 and LK2 alone, at different corners, and at D16.\n",
    "- Links of 1.5 mm2 carry a coil's current: bare wire over several holes, soldered along its length, or a bar. One line of it for each coil.\n",
    "- The capacitor of a chip belongs at its pins; clamps and filters belong at the chip that reads them, whatever the plan says.\n",
    "- Where a part of yours is larger, move its neighbours, and check again with a meter: each line below must be joined, and no two lines.\n\n",
    "## Links\n\n",
    ...nets.map(line),
  ].join("");
}
