// Where each field of a block lies: natural alignment, the same rule for AssemblyScript classes and C structs.
import type { Block, BlockField } from "./blocks.ts";

/** Bytes of a field of each type, which is also its natural alignment. */
export const FIELD_BYTES: Readonly<Record<BlockField["type"], number>> = {
  u8: 1,
  u16: 2,
  i16: 2,
  u32: 4,
  i32: 4,
};

/** A field with its offset in bytes from the start of its block. */
export interface Placed {
  readonly field: BlockField;
  readonly offset: number;
  readonly bytes: number;
}

/** Places the fields of a block. Throws when they need more than the block's room. */
export function place(block: Block): Placed[] {
  let offset = 0;
  const placed = block.fields.map((field) => {
    const size = FIELD_BYTES[field.type];
    offset = Math.ceil(offset / size) * size;
    const here = { field, offset, bytes: size * (field.count ?? 1) };
    offset += here.bytes;
    return here;
  });
  if (offset > block.room) throw new Error(`block ${block.name} needs ${offset} bytes, has ${block.room}`);
  return placed;
}

/** Bytes that the fields of a block take, without padding at the end. */
export function blockBytes(block: Block): number {
  const last = place(block).at(-1);
  return last ? last.offset + last.bytes : 0;
}

/** `adcMissing` -> `ADC_MISSING`, `opening10VUs` -> `OPENING10_V_US`, `notOff` -> `NOT_OFF`, `RPM-WIN` -> `RPM_WIN`. */
export function upper(name: string): string {
  return name
    .replace(/[-. ]/g, "_")
    .replace(/([a-z0-9])([A-Z])/g, "$1_$2")
    .replace(/([A-Z])([A-Z][a-z])/g, "$1_$2")
    .toUpperCase();
}
