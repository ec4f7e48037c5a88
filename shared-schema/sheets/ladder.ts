// Draws a list of parts as a ladder: what leads on lies in the row, what leads to a ground hangs from it, what leads to a supply stands on it.
import { partOf } from "../circuit/circuit.ts";
import type { Circuit, Part } from "../circuit/part.ts";
import { dot, ground, label, type Spot, wire, words } from "./pen.ts";
import { pair, relay, SPAN, symbol, transistor } from "./symbols.ts";
import { linesOf } from "./text.ts";

const SUPPLIES: readonly string[] = [
  "5v",
  "3v3",
  "feed",
  "rail",
  "drv",
  "vsys",
  "sensor5",
  "main",
  "battery",
];
const GROUNDS: readonly string[] = ["gnd", "star"];
const LETTER = 8.2;
const ROW = 206;
const STEP = 116;
const HALF = SPAN / 2;
/** How far in front of a part a wire comes back to its row, px. */
const BEND = 28;

/** Width of the widest line of a part, px. */
const widestOf = (part: Part): number =>
  Math.ceil(Math.max(...linesOf(part).map(({ length }) => length)) * 8);
/** Room for the lines beside a part, px. */
const besideWidth = (part: Part): number => 46 + widestOf(part);
const isEnd = (net: string): boolean => SUPPLIES.includes(net) || GROUNDS.includes(net);
const isGround = (net: string): net is "gnd" | "star" => GROUNDS.includes(net);
const lengthOf = (text: string): number => Math.ceil(text.length * LETTER);

/** A ladder that grows from left to right and wraps at the sheet's width. */
export class Ladder {
  readonly #circuit: Circuit;
  readonly #left: number;
  readonly #right: number;
  readonly #out: string[] = [];
  #x: number;
  #y: number;
  /** Net that the row carries, where it has come to, and whether its name stands there already. */
  #row: { net: string; spot: Spot; named: boolean } | undefined;
  /** Parts of the ladder that is being drawn: a net that joins others has its name written. */
  #refs: readonly string[] = [];

  constructor(circuit: Circuit, left: number, right: number, top: number) {
    this.#circuit = circuit;
    this.#left = left;
    this.#right = right;
    this.#x = left;
    this.#y = top + 100;
  }

  /** Draws parts by their references; a row in progress ends first. */
  add(title: string, refs: readonly string[]): void {
    if (this.#x > this.#left) this.#newRow();
    this.#out.push(words([this.#left, this.#y - 90], title, "r"));
    this.#refs = refs;
    for (const ref of refs) this.#part(partOf(this.#circuit, ref));
    this.#end();
  }

  /** Lowest line that is drawn on, px. */
  get bottom(): number {
    return this.#y + 100;
  }

  get svg(): string {
    return this.#out.join("\n");
  }

  #newRow(): void {
    this.#x = this.#left;
    this.#y += ROW;
  }

  #end(): void {
    if (!this.#row) return;
    const { net, spot, named } = this.#row;
    if (!named) this.#out.push(label(net, spot, "right"));
    this.#x = Math.max(this.#x, spot[0] + (named ? 34 : lengthOf(net) + 34));
    this.#row = undefined;
  }

  #begin(net: string): void {
    const needs = lengthOf(net) + 2 * STEP;
    if (this.#x + needs > this.#right) this.#newRow();
    this.#x += lengthOf(net) + 12;
    const spot: Spot = [this.#x, this.#y];
    this.#out.push(label(net, spot, "left"));
    this.#row = { net, spot, named: true };
    this.#x += 14;
  }

  /** Brings the row to a place; breaks it off and begins anew where it would leave the sheet. */
  #carry(width: number): Spot {
    const net = this.#row!.net;
    if (this.#x + width + lengthOf(net) > this.#right) {
      this.#end();
      this.#newRow();
      this.#begin(net);
    }
    const { spot, named } = this.#row!;
    if (!named && this.#goesOn(net)) this.#name(net, spot);
    const to: Spot = [this.#x, this.#y];
    const bend = to[0] - BEND;
    this.#out.push(spot[1] === to[1] ? wire(spot, to) : wire(spot, [bend, spot[1]], [bend, to[1]], to));
    return to;
  }

  /** Whether a net joins pins of other parts than those of this ladder. */
  #goesOn(net: string): boolean {
    return this.#circuit.parts.some(
      ({ ref, pins }) => !this.#refs.includes(ref) && pins.some((pin) => pin.net === net),
    );
  }

  /** Writes the row's name above the wire, which is made long enough for it. */
  #name(net: string, spot: Spot): void {
    this.#x = Math.max(this.#x, spot[0] + lengthOf(net) + 28);
    this.#out.push(label(net, spot, "up", (this.#x - spot[0]) / 2));
    this.#row = { net, spot, named: true };
  }

  #part(part: Part): void {
    const open = (name: string): string => part.pins.find((pin) => pin.name === name)!.net;
    if (part.kind === "relay") this.#relay(part);
    else if (part.kind === "schottky pair") this.#from(open("AK"), () => this.#pair(part));
    else if (["npn", "n-fet", "p-fet"].includes(part.kind))
      this.#from(open(part.kind === "npn" ? "B" : "G"), () => this.#transistor(part));
    else this.#twoLegs(part);
  }

  #from(net: string, draw: () => void): void {
    if (this.#row?.net !== net) {
      this.#end();
      this.#begin(net);
    }
    draw();
  }

  #twoLegs(part: Part): void {
    const [a, b] = part.pins.map(({ net }) => net) as [string, string];
    const here = this.#row?.net;
    if (here === a || here === b) this.#lead(part, here === a ? b : a);
    else if (isEnd(a) && isEnd(b)) this.#upright(part);
    else {
      // A row begins at a supply or at a signal, never at a ground.
      const start = isGround(a) || (SUPPLIES.includes(b) && !isEnd(a) && part.kind !== "diode") ? b : a;
      const from = isGround(b) ? a : start;
      this.#from(from, () => this.#lead(part, from === a ? b : a));
    }
  }

  #lead(part: Part, other: string): void {
    const turned = part.pins[0]!.net === other;
    if (isGround(other)) this.#shunt(part, other, turned, 1);
    else if (isEnd(other) && !isEnd(this.#row!.net)) this.#shunt(part, other, turned, -1);
    else this.#series(part, other, turned);
  }

  #series(part: Part, other: string, turned: boolean): void {
    const wider = Math.max(0, Math.ceil((widestOf(part) - SPAN) / 2) - 14);
    this.#x += wider;
    const [x, y] = this.#carry(SPAN + 30 + wider);
    const middle: Spot = [x + HALF, y];
    const [ref, ...rest] = linesOf(part);
    this.#group(part, [
      symbol(part, middle, "lying", turned),
      words([x + HALF, y - 40], ref!, "r", "middle"),
      words([x + HALF, y - 23], rest[0]!, "t", "middle"),
      ...rest.slice(1).map((text) => words([x + HALF, y + 31], text, "t", "middle")),
    ]);
    this.#row = { net: other, spot: [x + SPAN, y], named: false };
    this.#x = x + Math.max(STEP, SPAN + wider + 40);
  }

  /** `down` is 1 for what hangs from the row, -1 for what stands on it. */
  #shunt(part: Part, other: string, turned: boolean, down: 1 | -1): void {
    const [x, y] = this.#carry(STEP);
    const upper = down === 1 ? turned : !turned;
    this.#out.push(dot([x, y]));
    this.#group(part, [
      symbol(part, [x, y + down * HALF], "hanging", upper),
      this.#beside(part, [x, y + (down === 1 ? HALF : -HALF - 14)]),
    ]);
    const end: Spot = [x, y + down * SPAN];
    this.#out.push(isGround(other) ? ground(other, end) : label(other, end, "up"));
    this.#row = { ...this.#row!, spot: [x, y] };
    this.#x = x + Math.max(STEP, besideWidth(part));
  }

  /** Between two supplies, or a supply and a ground: by itself. */
  #upright(part: Part): void {
    this.#end();
    if (this.#x + STEP > this.#right) this.#newRow();
    const [a, b] = part.pins.map(({ net }) => net) as [string, string];
    const turned = isGround(a);
    const [top, bottom] = turned ? [b, a] : [a, b];
    const x = this.#x + 30;
    const y = this.#y;
    this.#group(part, [symbol(part, [x, y], "hanging", turned), this.#beside(part, [x, y])]);
    this.#out.push(
      label(top, [x, y - HALF], "up"),
      isGround(bottom) ? ground(bottom, [x, y + HALF]) : label(bottom, [x, y + HALF], "down"),
    );
    this.#x = x + Math.max(STEP, besideWidth(part));
  }

  #beside(part: Part, [x, y]: Spot): string {
    return linesOf(part)
      .map((text, i) => words([x + 18, y - 8 + 16 * i], text, i === 0 ? "r" : "t"))
      .join("");
  }

  #group(part: Part, shapes: readonly string[]): void {
    this.#out.push(`<g data-ref="${part.ref}">${shapes.join("")}</g>`);
  }

  #pair(part: Part): void {
    const [x, y] = this.#carry(STEP);
    this.#out.push(dot([x, y]));
    this.#group(part, [pair(part, [x, y]), this.#beside(part, [x, y + HALF])]);
    this.#out.push(label("rail", [x, y - SPAN], "up"), ground("gnd", [x, y + SPAN]));
    this.#row = { ...this.#row!, spot: [x, y] };
    this.#x = x + besideWidth(part);
  }

  /** The far end of the channel is where the row goes on. */
  #transistor(part: Part): void {
    const [x, y] = this.#carry(STEP);
    const middle: Spot = [x + HALF - 12, y];
    const right = middle[0] + HALF;
    this.#group(part, [
      transistor(part, middle),
      this.#beside(part, [right, y + (part.kind === "p-fet" ? -12 : 6)]),
    ]);
    const [next, other] = part.kind === "npn" ? ["C", "E"] : ["D", "S"];
    const netOf = (name: string): string => part.pins.find((pin) => pin.name === name)!.net;
    const down = part.kind === "p-fet";
    const far: Spot = [right, y + (down ? -HALF : HALF)];
    const end = netOf(other);
    this.#out.push(isGround(end) ? ground(end, far) : label(end, far, down ? "up" : "down"));
    this.#row = { net: netOf(next), spot: [right, y + (down ? HALF : -HALF)], named: false };
    this.#x = right + Math.max(STEP, besideWidth(part) + 10);
  }

  #relay(part: Part): void {
    this.#end();
    if (this.#x + 3 * STEP > this.#right) this.#newRow();
    const middle: Spot = [this.#x + 100, this.#y];
    const [x, y] = middle;
    this.#group(part, [relay(part, middle), this.#beside(part, [x + 82, y - 5])]);
    const spots: Readonly<Record<string, Spot>> = {
      "86": [x, y - HALF],
      "85": [x, y + HALF],
      "30": [x + 70, y - HALF],
      "87": [x + 70, y + HALF],
    };
    for (const { no, net } of part.pins) {
      if (net === "") continue;
      const coil = no.startsWith("8") && no !== "87";
      const spot = spots[no]!;
      const end: Spot = coil ? [spot[0] - 24, spot[1]] : [spot[0], spot[1] + (no === "30" ? -14 : 14)];
      this.#out.push(wire(spot, end), label(net, end, coil ? "left" : no === "30" ? "up" : "down"));
    }
    this.#x += 3 * STEP;
  }
}
