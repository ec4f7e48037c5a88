// What the controller on a practice board says of itself, out of its memory: the columns of the status answer without the line.
import { LIVE } from "#shared-schema/link/columns.ts";
import { CORE_MEMORY_BYTES } from "#shared-schema/model/blocks.ts";
import { place } from "#shared-schema/model/layout.ts";
import type { EmulatedBoard } from "../board/emulated-board.ts";

const PLACES = place(LIVE);

/** Columns by name; undefined while no program runs. */
export function liveValues(board: EmulatedBoard): Record<string, number | number[]> | undefined {
  if (!board.powered) return undefined;
  const view = new DataView(board.chip.rp2040.sram.buffer, 0, CORE_MEMORY_BYTES);
  const read = (type: string, at: number): number => {
    if (type === "u8") return view.getUint8(at);
    return type === "u16" ? view.getUint16(at, true) : view.getUint32(at, true);
  };
  return Object.fromEntries(
    PLACES.map(({ field, offset }) => {
      const bytes = field.type === "u8" ? 1 : field.type === "u16" ? 2 : 4;
      const all = Array.from({ length: field.count ?? 1 }, (_, n) =>
        read(field.type, LIVE.address + offset + n * bytes),
      );
      return [field.name, field.count === undefined ? all[0]! : all] as const;
    }),
  );
}
