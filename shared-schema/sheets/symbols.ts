// Symbols of parts with two legs, lying from left to right or hanging from top to bottom; and what is written beside a part.
import type { Part } from "../circuit/part.ts";
import { filled, pinAt, rect, ring, type Spot, stroke, words } from "./pen.ts";

/** Length of a part from pin to pin, px. */
export const SPAN = 64;
const HALF = SPAN / 2;

/** A frame that turns a symbol drawn from left to right around its middle. */
type Turn = (along: number, across: number) => Spot;
const lying =
  ([x, y]: Spot): Turn =>
  (along, across) => [x + along, y + across];
const hanging =
  ([x, y]: Spot): Turn =>
  (along, across) => [x - across, y + along];

const box = (at: Turn, half: number, width: number): string =>
  stroke(at(-half, -width), at(half, -width), at(half, width), at(-half, width), at(-half, -width));

/** A diode with its cathode at the far end; `bars` are the strokes of the cathode. */
function diode(at: Turn, kind: Part["kind"]): string {
  const bent = {
    zener: [at(6, -12), at(10, -9), at(10, 9), at(14, 12)],
    suppressor: [at(4, -12), at(10, -9), at(10, 9), at(16, 12)],
    schottky: [at(6, -6), at(6, -10), at(10, -10), at(10, 10), at(14, 10), at(14, 6)],
  }[kind as string] ?? [at(10, -10), at(10, 10)];
  return [
    filled(at(-10, -10), at(-10, 10), at(10, 0)),
    stroke(...bent),
    stroke(at(-HALF, 0), at(-10, 0)),
    stroke(at(10, 0), at(HALF, 0)),
  ].join("");
}

const leads = (at: Turn, from: number): string =>
  stroke(at(-HALF, 0), at(-from, 0)) + stroke(at(from, 0), at(HALF, 0));

const SHAPES: Partial<Record<Part["kind"], (at: Turn) => string>> = {
  resistor: (at) => box(at, 20, 8) + leads(at, 20),
  fuse: (at) => box(at, 20, 8) + stroke(at(-HALF, 0), at(HALF, 0)),
  capacitor: (at) => stroke(at(-4, -13), at(-4, 13)) + stroke(at(4, -13), at(4, 13)) + leads(at, 4),
  coil: (at) => box(at, 20, 11) + stroke(at(-20, 11), at(20, -11)) + leads(at, 20),
  link: (at) => stroke(at(-HALF, 0), at(HALF, 0)) + ring(at(-10, 0), 4) + ring(at(10, 0), 4),
  jumper: (at) => ring(at(-12, 0), 4) + ring(at(12, 0), 4) + stroke(at(-12, -9), at(12, -9)) + leads(at, 16),
  switch: (at) => ring(at(-14, 0), 4) + ring(at(14, 0), 4) + stroke(at(-11, -2), at(14, -16)) + leads(at, 18),
};

/** Symbol of a part with two legs, and its pins: the first leg at the left or on top, unless it is turned round. */
export function symbol(part: Part, middle: Spot, way: "lying" | "hanging", turned: boolean): string {
  const frame = way === "lying" ? lying(middle) : hanging(middle);
  const at: Turn = turned ? (along, across) => frame(-along, across) : frame;
  const shape = SHAPES[part.kind]?.(at) ?? diode(at, part.kind);
  const [first, second] = part.pins;
  return [
    shape,
    pinAt(`${part.ref}.${first!.no}`, at(-HALF, 0)),
    pinAt(`${part.ref}.${second!.no}`, at(HALF, 0)),
  ].join("");
}

/** Symbol of a pair of Schottky diodes between ground below and the rail above, joined at its middle pin. */
export function pair(part: Part, [x, y]: Spot): string {
  const flip =
    (middle: Spot): Turn =>
    (along, across) =>
      hanging(middle)(-along, across);
  return [
    diode(flip([x, y - HALF]), "schottky"),
    diode(flip([x, y + HALF]), "schottky"),
    words([x - 8, y - SPAN + 12], "K", "t", "end"),
    words([x + 8, y - 6], "AK", "t"),
    words([x - 8, y + SPAN - 4], "A", "t", "end"),
    pinAt(`${part.ref}.K`, [x, y - SPAN]),
    pinAt(`${part.ref}.AK`, [x, y]),
    pinAt(`${part.ref}.A`, [x, y + SPAN]),
  ].join("");
}

/** A transistor with its control pin at the left, and its channel from top to bottom. */
export function transistor(part: Part, [x, y]: Spot): string {
  const npn = part.kind === "npn";
  const [control, top, bottom] = npn
    ? ["B", "C", "E"]
    : part.kind === "n-fet"
      ? ["G", "D", "S"]
      : ["G", "S", "D"];
  const right = x + HALF;
  const legs = [
    stroke([right, y - HALF], [right, y - 14], [x + 6, y - 14]),
    stroke([right, y + HALF], [right, y + 14], [x + 6, y + 14]),
  ];
  const inside = npn
    ? [
        stroke([x, y - 18], [x, y + 18]),
        stroke([x, y - 6], [right, y - 18]),
        stroke([x, y + 6], [right, y + 18]),
        filled([right, y + 18], [right - 10, y + 17], [right - 6, y + 9]),
      ]
    : [
        stroke([x, y - 18], [x, y + 18]),
        ...[-14, 0, 14].map((dy) => stroke([x + 6, y + dy - 6], [x + 6, y + dy + 6])),
        stroke([x + 6, y], [right, y]),
        part.kind === "n-fet"
          ? filled([x + 7, y], [x + 15, y - 4], [x + 15, y + 4])
          : filled([right - 1, y], [right - 9, y - 4], [right - 9, y + 4]),
        stroke([right, y], [right, part.kind === "n-fet" ? y + 14 : y - 14]),
      ];
  return [
    stroke([x - HALF + 12, y], [x, y]),
    ...(npn
      ? [stroke([right, y - HALF], [right, y - 18]), stroke([right, y + HALF], [right, y + 18])]
      : legs),
    ...inside,
    words([x - HALF + 17, y - 5], control!, "t"),
    words([right - 5, y - HALF + 11], top!, "t", "end"),
    words([right - 5, y + HALF - 3], bottom!, "t", "end"),
    pinAt(`${part.ref}.${control}`, [x - HALF + 12, y]),
    pinAt(`${part.ref}.${top}`, [right, y - HALF]),
    pinAt(`${part.ref}.${bottom}`, [right, y + HALF]),
  ].join("");
}

/** Coil and contact of a relay, side by side: 86 and 85, 30 and 87, from top to bottom. */
export function relay(part: Part, [x, y]: Spot): string {
  const contact = x + 70;
  const pin = (no: string, spot: Spot): string =>
    part.pins.find((one) => one.no === no)!.net === "" ? "" : pinAt(`${part.ref}.${no}`, spot);
  return [
    rect([x - 14, y - 18], 28, 36),
    stroke([x - 14, y + 18], [x + 14, y - 18]),
    stroke([x, y - HALF], [x, y - 18]),
    stroke([x, y + 18], [x, y + HALF]),
    stroke([contact, y - HALF], [contact, y - 16]),
    stroke([contact - 12, y - 14], [contact, y + 14], [contact, y + HALF]),
    stroke([x + 14, y], [contact - 6, y]),
    words([x - 4, y - HALF - 5], "86", "t", "end"),
    words([x - 4, y + HALF + 15], "85", "t", "end"),
    words([contact + 6, y - HALF + 4], "30", "t"),
    words([contact + 6, y + HALF + 2], "87", "t"),
    pin("86", [x, y - HALF]),
    pin("85", [x, y + HALF]),
    pin("30", [contact, y - HALF]),
    pin("87", [contact, y + HALF]),
  ].join("");
}
