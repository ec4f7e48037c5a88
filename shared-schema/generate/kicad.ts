// Writes hardware-notes/circuit.net: the circuit as a netlist in the S-expression form that schematic programs import. The form is from memory; version D is the one that pcb-rnd reads.
import { CIRCUIT, nets } from "../circuit/circuit.ts";
import type { Part } from "../circuit/part.ts";
import { ratingText } from "../sheets/text.ts";
import { written } from "./note-values.ts";

const quoted = (text: string): string => `"${text.replaceAll("\\", "\\\\").replaceAll('"', '\\"')}"`;
const item = (name: string, text: string): string => `(${name} ${quoted(text)})`;

function valueText({ value, part }: Part): string {
  return value === undefined ? part : `${written(value)}, ${part}`;
}

function component(part: Part): string {
  const fields = [item("kind", part.kind), item("withstands", ratingText(part)), item("place", part.place)];
  const list = fields.map((field) => field.replace(/^\((\w+) /, '(field (name "$1") ')).join(" ");
  return `    (comp ${item("ref", part.ref)} ${item("value", valueText(part))} (fields ${list}))\n`;
}

/** Wires are parts with two pins here, since each is an item that a builder cuts, and a fault of its own. */
function wireComponents(): string {
  return CIRCUIT.wires
    .map(
      ({ ref, mm2, what }) =>
        `    (comp ${item("ref", ref)} ${item("value", `wire of ${mm2} mm2, ${what}`)})\n`,
    )
    .join("");
}

const node = (ref: string, no: string, name: string): string =>
  `      (node ${item("ref", ref)} ${item("pin", no)} ${item("pinfunction", name)})\n`;

function netText(): string {
  return [...nets(CIRCUIT)]
    .map(([name, ends], i) => {
      const own = ends.map(({ part, pin }) => node(part.ref, pin.no, pin.name)).join("");
      const here = new Set(ends.map(({ part, pin }) => `${part.ref}.${pin.no}`));
      const wires = CIRCUIT.wires
        .flatMap(({ ref, from, to }) => [
          ...(here.has(from) ? [node(ref, "1", "1")] : []),
          ...(here.has(to) ? [node(ref, "2", "2")] : []),
        ])
        .join("");
      return `    (net ${item("code", String(i + 1))} ${item("name", name)}\n${own}${wires}    )\n`;
    })
    .join("");
}

/** The whole file. */
export function kicadNetlist(): string {
  return [
    '(export (version "D")\n  (design (source "shared-schema/circuit") (tool "npm run generate"))\n',
    `  (components\n${CIRCUIT.parts.map(component).join("")}${wireComponents()}  )\n`,
    `  (nets\n${netText()}  )\n)\n`,
  ].join("");
}
