// Writes hardware-notes/nets.md: every net with its pins, the wires that lead on from it, and the sheets on which it stands.
import { CIRCUIT, type End, endAt, nets } from "../circuit/circuit.ts";
import { refsOn, SHEETS } from "../sheets/sheets.ts";
import { GENERATED_NOTE, table } from "./markdown.ts";

const sheetOf = new Map(SHEETS.flatMap((sheet) => refsOn(sheet).map((ref) => [ref, sheet.file] as const)));

/** Wires that leave a net, each with the net to which it leads. */
function wiresFrom(net: string): string[] {
  return CIRCUIT.wires.flatMap(({ ref, from, to }) => {
    const [a, b] = [endAt(CIRCUIT, from).pin.net, endAt(CIRCUIT, to).pin.net];
    return a === net ? [`${ref} to ${b}`] : b === net ? [`${ref} to ${a}`] : [];
  });
}

/** A pin with its name where that says more than its number. */
const pinText = ({ part, pin }: End): string =>
  pin.name === pin.no ? `${part.ref}.${pin.no}` : `${part.ref}.${pin.no} ${pin.name}`;

function row([net, ends]: [string, End[]]): string[] {
  const sheets = [...new Set(ends.map(({ part }) => sheetOf.get(part.ref)!))];
  return [net, ends.map(pinText).join(", "), wiresFrom(net).join(", ") || "-", sheets.join(", ")];
}

/** The whole page. */
export function netsDoc(): string {
  const all = [...nets(CIRCUIT)].sort(([a], [b]) => a.localeCompare(b, "en", { numeric: true }));
  return [
    `# Nets\n\n${GENERATED_NOTE}\n\n`,
    `All ${all.length} nets of the circuit, from \`shared-schema/circuit\`, for whoever follows a line from one sheet to another, or looks for what a meter touches. `,
    "A pin is written as part and number, with its name where it has one; legs of diodes are A and K, where the bar of the symbol is K, of transistors G, D, S or B, C, E. ",
    "A net ends at a connector; the wire named there leads on to another net ([wiring.md](wiring.md)).\n\n",
    table(["net", "pins", "wires", "sheets"], all.map(row)),
  ].join("");
}
