// The harness as a picture: every wire from its connector pin to what it leads to, with gauge, length and fuse.
import { CIRCUIT, endAt, partOf } from "../circuit/circuit.ts";
import type { Wire } from "../circuit/part.ts";
import { written } from "../generate/note-values.ts";
import { rect, type Spot, sheetSvg, words } from "./pen.ts";

const WIDTH = 1500;
const LINE = 44;
const COLUMN = WIDTH / 2;
const TOP = 110;

/** What protects a wire, in words. */
function fuseText({ fuse }: Wire): string {
  if (fuse === "-") return "no fuse";
  const { value } = partOf(CIRCUIT, fuse);
  return value === undefined ? `${fuse}, the car's` : `${fuse} ${written(value)}`;
}

function drawn(wire: Wire, [x, y]: Spot): string {
  const { ref, from, to, mm2, metres, what } = wire;
  const [a, b] = [x + 90, x + 455];
  const far = endAt(CIRCUIT, to);
  return [
    `<g data-wire="${ref}">`,
    words([a - 8, y + 5], from, "r", "end"),
    `<polyline class="n" points="${a},${y} ${b},${y}" style="stroke-width:${Math.min(6, 1 + mm2)}"/>`,
    words([(a + b) / 2, y - 6], `${ref}: ${mm2} mm2, ${metres} m, ${fuseText(wire)}`, "t", "middle"),
    words([(a + b) / 2, y + 14], what, "t", "middle"),
    words([b + 8, y + 5], to, "r"),
    words([b + 66, y + 5], far.part.part.replace(/,.*| for .*/, ""), "t"),
    "</g>",
  ].join("");
}

/** The picture. */
export function drawHarness(): string {
  const { wires } = CIRCUIT;
  const half = Math.ceil(wires.length / 2);
  const body = wires.map((wire, i) => {
    const column = Math.floor(i / half);
    return drawn(wire, [column * COLUMN, TOP + (i % half) * LINE]);
  });
  const height = TOP + half * LINE + 20;
  return sheetSvg(
    "Harness",
    "Every wire of box and harness: pin, gauge, length, fuse, and where it ends. Twist each coil's two wires; shield the pulse wires.",
    WIDTH,
    height,
    [rect([15, 82], WIDTH - 30, height - 92), ...body].join("\n"),
  );
}
