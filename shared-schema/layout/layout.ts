// A plan for one perforated board: every part that stands on it in holes of its own, and the hole of every leg.
import { CIRCUIT, partOf } from "../circuit/circuit.ts";
import type { Part } from "../circuit/part.ts";
import { refsOn, SHEETS } from "../sheets/sheets.ts";
import { type Footprint, footprint, type Hole } from "./footprints.ts";
import type { Spot } from "./links.ts";

/** Holes of a board of 230 mm by 120 mm, with a rim. */
export const BOARD = { columns: 90, rows: 46 } as const;

export interface Placed {
  readonly part: Part;
  readonly at: Hole;
  readonly footprint: Footprint;
}

/** Ends of the wires to what is beside the board: connectors in the wall and fuses. Relays are reached by X8. */
const isPad = ({ place, kind }: Part): boolean => place === "box" && kind !== "relay";

/** What the wall cools: the driver transistors, and the suppressors that take the coils' energy. */
const isCooled = ({ kind, value }: Part): boolean => kind === "n-fet" || value === "clamp.voltage";

/** Parts of the board in the order of the sheets, but for those that stand at the lower rim, at the wall that cools them. */
function ordered(): { parts: Part[]; atRim: Part[] } {
  const all = SHEETS.flatMap(refsOn).map((ref) => partOf(CIRCUIT, ref));
  const own = all.filter((part) => part.place === "board" || isPad(part));
  const pads = own.filter(isPad);
  const atRim = own.filter(isCooled).sort((a, b) => Number(b.kind === "n-fet") - Number(a.kind === "n-fet"));
  return { parts: [...pads, ...own.filter((part) => !isPad(part) && !atRim.includes(part))], atRim };
}

/** Fills the board from the top in rows; whatever is smaller stands in the gaps below its row's start. */
class Shelves {
  readonly #taken = new Set<string>();

  place(part: Part, fromRow: number): Placed {
    const print = footprint(part);
    const roomy = { ...print, width: print.width + 1, height: print.height + 1 };
    for (let row = fromRow; row + print.height <= BOARD.rows; row++)
      for (let column = 0; column + print.width <= BOARD.columns; column++)
        if (this.#free(column, row, roomy))
          return this.#take({ part, at: [column, row], footprint: print }, roomy);
    throw new Error(`no room for ${part.ref} on the board`);
  }

  *#cells(column: number, row: number, { width, height }: Footprint): Generator<string> {
    for (let x = column; x < column + width; x++) for (let y = row; y < row + height; y++) yield `${x},${y}`;
  }

  #free(column: number, row: number, print: Footprint): boolean {
    for (const cell of this.#cells(column, row, print)) if (this.#taken.has(cell)) return false;
    return true;
  }

  /** A part keeps a free column at its right and a free row below it. */
  #take(placed: Placed, roomy: Footprint): Placed {
    for (const cell of this.#cells(placed.at[0], placed.at[1], roomy)) this.#taken.add(cell);
    return placed;
  }
}

/** Every part in its place. Throws when the board is too small. */
export function place(): Placed[] {
  const { parts, atRim } = ordered();
  const shelves = new Shelves();
  // Transistors in the last two rows, the suppressors in those above.
  const rim = atRim.map((part) => shelves.place(part, BOARD.rows - (part.kind === "n-fet" ? 2 : 5)));
  return [...parts.map((part) => shelves.place(part, 0)), ...rim];
}

/** Hole of each pin on the board, by `R101.1`, with its net. */
export function pinHoles(placed: readonly Placed[]): Map<string, Spot> {
  const found = placed.flatMap(({ part, at, footprint: { holes } }) =>
    part.pins
      .filter(({ net }) => net !== "")
      .map(({ no, net }): [string, Spot] => {
        const [x, y] = holes.get(no)!;
        return [`${part.ref}.${no}`, { net, hole: [at[0] + x, at[1] + y] }];
      }),
  );
  return new Map(found);
}
