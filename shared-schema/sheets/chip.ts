// A part with many pins as a box, its pins in the order of the package: half at the left downwards, half at the right upwards.
import type { CircuitPin, Part } from "../circuit/part.ts";
import { label, pinAt, rect, type Spot, stroke, words } from "./pen.ts";
import { ratingText, valueText } from "./text.ts";

const PITCH = 25;
const STUB = 34;
const LETTER = 8;

function pinLine(part: Part, pin: CircuitPin, [x, y]: Spot, right: boolean): string {
  const out: Spot = [x + (right ? STUB : -STUB), y];
  const name = words(
    [x + (right ? -6 : 6), y + 5],
    pin.name === pin.no ? "" : pin.name,
    "t",
    right ? "end" : "start",
  );
  const no = words([x + (right ? 5 : -5), y - 4], pin.no, "t", right ? "start" : "end");
  if (pin.net === "")
    return (
      stroke([x, y], out) +
      name +
      no +
      words([out[0] + (right ? 4 : -4), y + 5], "open", "t", right ? "start" : "end")
    );
  return [
    stroke([x, y], out),
    name,
    no,
    pinAt(`${part.ref}.${pin.no}`, out),
    label(pin.net, out, right ? "right" : "left"),
  ].join("");
}

/** A box and how much room it took, px. `spot` is its upper left corner with all labels. */
export function chip(part: Part, [x, y]: Spot): { svg: string; width: number; height: number } {
  const half = Math.ceil(part.pins.length / 2);
  const [left, right] = [part.pins.slice(0, half), part.pins.slice(half).reverse()];
  const widest = (pins: readonly CircuitPin[]): number =>
    Math.max(4, ...pins.map(({ net }) => net.length)) * LETTER + STUB + 8;
  const names = Math.max(...part.pins.map(({ name }) => name.length)) * LETTER;
  const inner = Math.max(2 * names + 30, 90);
  const edge = x + widest(left);
  const top = y + 58;
  const rating = ratingText(part);
  const svg = [
    `<g data-ref="${part.ref}">`,
    words([edge, y + 16], part.ref, "r"),
    words([edge, y + 33], part.part, "t"),
    words(
      [edge, y + 50],
      [...new Set([...(part.value ? [valueText(part)] : []), ...rating.split(", ")])]
        .join(", ")
        .replace(/^-$/, ""),
      "t",
    ),
    rect([edge, top], inner, half * PITCH + 6),
    ...left.map((pin, i) => pinLine(part, pin, [edge, top + 17 + PITCH * i], false)),
    ...right.map((pin, i) => pinLine(part, pin, [edge + inner, top + 17 + PITCH * i], true)),
    "</g>",
  ].join("");
  const head = Math.max(part.part.length * 7, 120) - inner;
  return {
    svg,
    width: widest(left) + inner + Math.max(widest(right), head) + 20,
    height: 58 + half * PITCH + 30,
  };
}

/** Boxes beside each other, wrapped at a width; where the last row ends. */
export function chips(
  parts: readonly Part[],
  left: number,
  right: number,
  top: number,
): { svg: string; bottom: number } {
  let [x, y, tallest] = [left, top, 0];
  const drawn = parts.map((part) => {
    const { width } = chip(part, [0, 0]);
    if (x + width > right && x > left) [x, y, tallest] = [left, y + tallest, 0];
    const one = chip(part, [x, y]);
    x += width;
    tallest = Math.max(tallest, one.height);
    return one.svg;
  });
  return { svg: drawn.join("\n"), bottom: y + tallest };
}
