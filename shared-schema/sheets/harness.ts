// The harness as pictures: every wire from its connector pin to what it leads to, with gauge, length and fuse.
import { CIRCUIT, endAt, partOf } from "../circuit/circuit.ts";
import type { Part, Wire } from "../circuit/part.ts";
import { written } from "../generate/note-values.ts";
import { SHEET_WIDTH, type Spot, sheetSvg, words } from "./pen.ts";

const LINE = 48;
const COLUMN = SHEET_WIDTH / 2;
const TOP = 110;

/** Sheets of the harness, and whether a wire that begins at a part stands on them. */
export const HARNESS: readonly (readonly [file: string, title: string, from: RegExp])[] = [
  ["harness-1", "Harness: supply, relays, valves", /^([FKS]\d|X[128]\.)/],
  ["harness-2", "Harness: switches and sensors", /^X[34]\./],
  ["harness-3", "Harness: pulses, engine computer, serial line, heater relay", /^X[56]\./],
];

/** What protects a wire, in words. */
function fuseText({ fuse }: Wire): string {
  if (fuse === "-") return "no fuse";
  const { value } = partOf(CIRCUIT, fuse);
  return value === undefined ? `${fuse}, the car's` : `${fuse} ${written(value)}`;
}

/** A part's type without what its sheet tells besides. */
const shortName = ({ part }: Part): string =>
  part.replace(/,.*| (for|on the|and) .*| of 3.*/, "").replace("coil of the valve", "coil of");

function drawn(wire: Wire, [x, y]: Spot): string {
  const { ref, from, to, mm2, metres, what } = wire;
  const [a, b] = [x + 72, x + 392];
  const far = endAt(CIRCUIT, to);
  return [
    `<g data-wire="${ref}">`,
    words([a - 8, y + 5], from, "r", "end"),
    `<polyline class="n" points="${a},${y} ${b},${y}" style="stroke-width:${Math.min(6, 1 + mm2)}"/>`,
    words([(a + b) / 2, y - 6], `${ref}: ${mm2} mm2, ${metres} m, ${fuseText(wire)}`, "t", "middle"),
    words([(a + b) / 2, y + 17], what, "t", "middle"),
    words([b + 8, y + 5], to, "r"),
    words([b + 62, y + 5], shortName(far.part), "t"),
    "</g>",
  ].join("");
}

/** One picture. */
export function drawHarness([, title, from]: (typeof HARNESS)[number]): string {
  const wires = CIRCUIT.wires.filter((wire) => from.test(wire.from));
  const half = Math.ceil(wires.length / 2);
  const body = wires.map((wire, i) => {
    const column = Math.floor(i / half);
    return drawn(wire, [column * COLUMN, TOP + (i % half) * LINE]);
  });
  return sheetSvg(
    title,
    "Each wire: pin, gauge, length, fuse, and where it ends. Twist each coil's two wires; shield the pulse wires.",
    SHEET_WIDTH,
    TOP + half * LINE,
    body.join("\n"),
  );
}
