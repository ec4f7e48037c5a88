// The plan of the perforated board as a picture, and as a page with every hole and every link.
import { GENERATED_NOTE } from "../generate/markdown.ts";
import { written } from "../generate/note-values.ts";
import { sheetSvg, words } from "../sheets/pen.ts";
import type { Hole } from "./footprints.ts";
import { BOARD, type Placed, pinHoles, place } from "./layout.ts";
import { type Link, links, STAR_BAR } from "./links.ts";

const PITCH = 24;
const LEFT = 48;
const TOP = 110;

/** Halves of the board, which share some columns: each half stands on a sheet of its own, large enough to read. */
export const HALVES = [
  { file: "layout-1", from: 0, to: 49, side: "left" },
  { file: "layout-2", from: 40, to: BOARD.columns - 1, side: "right" },
] as const;
type Half = (typeof HALVES)[number];

const spot = ({ from }: Half, [column, row]: Hole): [number, number] => [
  LEFT + PITCH * (column - from),
  TOP + PITCH * row,
];

function scale(half: Half): string {
  const tens = (from: number, to: number): number[] =>
    Array.from({ length: to + 1 }, (_, i) => i).filter((i) => i >= from && i % 10 === 0);
  return [
    ...tens(half.from, half.to).map((column) =>
      words([spot(half, [column, 0])[0], TOP - 14], String(column), "t", "middle"),
    ),
    ...tens(0, BOARD.rows - 1).map((row) =>
      half.side === "left"
        ? words([LEFT - 18, spot(half, [0, row])[1] + 5], String(row), "t", "end")
        : words([spot(half, [half.to, 0])[0] + 18, spot(half, [0, row])[1] + 5], String(row), "t"),
    ),
  ].join("");
}

/** Legs without room between them have their name below; other parts have it in their middle. */
const isRow = ({ part, footprint }: Placed): boolean =>
  footprint.height === 1 && (part.pins.length > 2 || footprint.width < 4);

/** The part's name where none of its legs is. */
function name(half: Half, placed: Placed): string {
  const { part, at, footprint } = placed;
  const [left, right] = [Math.max(at[0], half.from), Math.min(at[0] + footprint.width - 1, half.to)];
  const [x] = spot(half, [(left + right) / 2, 0]);
  const [, top] = spot(half, at);
  // What the sheet's edge cuts stands whole on the other sheet, with its name.
  if (right - left < footprint.width - 1 && right - left < 4) return "";
  const single = footprint.height === 1;
  const y = isRow(placed)
    ? top + 22
    : single
      ? top + 5
      : footprint.height === 2
        ? top + 4
        : top + ((footprint.height - 1) * PITCH) / 2 + 5;
  return `<text class="n" x="${x}" y="${y}" text-anchor="middle">${part.ref}</text>`;
}

function drawn(half: Half, placed: Placed): string {
  const { part, at, footprint } = placed;
  const [x, y] = spot(half, at);
  const [width, height] = [(footprint.width - 1) * PITCH + 16, (footprint.height - 1) * PITCH + 16];
  const legs = part.pins.map(({ no }, i) => {
    const [dx, dy] = footprint.holes.get(no)!;
    const [cx, cy] = spot(half, [at[0] + dx, at[1] + dy]);
    const hole = `data-leg="${part.ref}.${no}"`;
    return i === 0
      ? `<rect ${hole} class="f" x="${cx - 3.5}" y="${cy - 3.5}" width="7" height="7"/>`
      : `<circle ${hole} class="f" cx="${cx}" cy="${cy}" r="3"/>`;
  });
  return `<g data-ref="${part.ref}"><rect x="${x - 8}" y="${y - 8}" width="${width}" height="${height}" style="stroke-width:1"/>${legs.join("")}${name(half, placed)}</g>`;
}

const stands = ({ from, to }: Half, { at, footprint }: Placed): boolean =>
  at[0] <= to && at[0] + footprint.width - 1 >= from;

/** The bar of the star, across the half. */
function bar(half: Half): string {
  const [left, y] = spot(half, [half.from, STAR_BAR.row]);
  const [right] = spot(half, [half.to, STAR_BAR.row]);
  return `<rect class="f" x="${left - 8}" y="${y - 4}" width="${right - left + 16}" height="8"/>${words([left + 10, y - 10], "star: bar of copper", "n")}`;
}

/** One half of the picture, seen from the side of the parts. */
export function layoutSvg(half: Half): string {
  const width = LEFT + PITCH * (half.to - half.from) + 44;
  const rim = `<rect x="${spot(half, [0, 0])[0] - 14}" y="${TOP - 12}" width="${PITCH * (BOARD.columns - 1) + 28}" height="${PITCH * (BOARD.rows - 1) + 24}"/>`;
  return sheetSvg(
    `Perforated board, seen from the parts: ${half.side} part`,
    `${BOARD.columns} by ${BOARD.rows} holes of 2.54 mm, here columns ${half.from} to ${half.to}. A square is the first pin. Columns and rows count from 0 at the upper left. Links: layout.md.`,
    width,
    TOP + PITCH * BOARD.rows + 10,
    [
      rim,
      scale(half),
      bar(half),
      ...place()
        .filter((placed) => stands(half, placed))
        .map((placed) => drawn(half, placed)),
    ].join("\n"),
  );
}

/** The page. */
export function layoutDoc(): string {
  const placed = place();
  const pins = pinHoles(placed);
  const all = links(pins);
  const at = (pin: string): string => `${pin} (${pins.get(pin)!.hole.join(",")})`;
  const nets = [...new Set(all.map(({ net }) => net))].sort();
  const one = ({ from, to, toHole }: Link): string => `${at(from)} to ${to} (${toHole.join(",")})`;
  const line = (net: string): string => {
    const own = all.filter((link) => link.net === net);
    const gauges = [...new Set(own.map(({ mm2 }) => mm2))].sort((a, b) => b - a);
    const runs = gauges.map(
      (mm2) =>
        `${mm2} mm2: ${own
          .filter((link) => link.mm2 === mm2)
          .map(one)
          .join("; ")}`,
    );
    return `- **${net}**, ${runs.join(". And ")}\n`;
  };
  return [
    `# Perforated board\n\n${GENERATED_NOTE}\n\n`,
    "A plan to begin with, made by a simple rule from the netlist; nobody has built it.\n\n![The board, left part](sheets/layout-1.svg)\n\n![The board, right part](sheets/layout-2.svg)\n\n",
    `${placed.length} parts, connectors and fuses on one board of ${BOARD.columns} by ${BOARD.rows} holes, ${all.length} links. A test holds every link to the netlist. Holes are column, row. `,
    "Connectors of the wall and fuses stand here as the ends of their wires. The driver transistors stand at the lower rim, to be bolted to the wall; the suppressors of the clamps stand beside them, since the wall cools those too. ",
    "Keep to these rules whatever you move:\n\n",
    `- The logic plane (gnd) is a sheet or a grid of bare copper under the whole of the logic, not a chain of wires; the star is one bar of copper, ${STAR_BAR.mm2} mm2 or more, across row ${STAR_BAR.row}. They meet at LK1 and LK2 alone, at different corners, and at D16.\n`,
    "- Whatever goes to the star goes there by a link of its own. Never lead one through the leg of another part: where that leg breaks off, a driver loses its ground. The studs of X1 may stand on the bar itself.\n",
    `- The thickness of each link follows from the current or the fuse of what it joins: at most ${written("wire.fuse")} for each mm2. 6 mm2 carries the whole current, or what blows F1 when D13 fails shorted: a bar, or wire of that gauge laid over the holes and soldered to each leg. 1.5 mm2 carries a coil's current: bare wire over several holes, soldered along its length. 0.25 mm2 is for taps, gates and logic; the taps of drv have no fuse of their own, so let R8 and R1805 stand right at the trunk.\n`,
    "- No trunk leads through the leg of a tap, so a tap that is unsoldered cuts nothing else off. Where bare links cross, insulate one.\n",
    "- The capacitor of a chip belongs at its pins; clamps and filters belong at the chip that reads them, whatever the plan says.\n",
    "- Where a part of yours is larger, move its neighbours, and check again with a meter: each line below must be joined, and no two lines.\n\n",
    "## Links\n\n",
    ...nets.map(line),
  ].join("");
}
