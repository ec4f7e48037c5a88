// Typed views of the control core's blocks: the same fields and offsets as the AssemblyScript classes and the C structs.

import { LIVE } from "#shared-schema/link/columns.ts";
import { type Block, BOOT, INPUTS, OUTPUTS } from "#shared-schema/model/blocks.ts";
import { type Placed, place } from "#shared-schema/model/layout.ts";

type Getter = (view: DataView, at: number) => number;
const GET: Record<string, Getter> = {
  u8: (v, at) => v.getUint8(at),
  u16: (v, at) => v.getUint16(at, true),
  i16: (v, at) => v.getInt16(at, true),
  u32: (v, at) => v.getUint32(at, true),
  i32: (v, at) => v.getInt32(at, true),
};
const SIZE: Record<string, number> = { u8: 1, u16: 2, i16: 2, u32: 4, i32: 4 };

function set(view: DataView, type: string, at: number, value: number): void {
  if (SIZE[type] === 1) view.setUint8(at, value);
  else if (SIZE[type] === 2) view.setUint16(at, value, true);
  else view.setUint32(at, value, true);
}

/** One block in a core memory: reads and writes fields by name. Throws a RangeError on a name that is not in the block. */
export class BlockView {
  private readonly view: DataView;
  private readonly fields: ReadonlyMap<string, Placed>;

  constructor(memory: WebAssembly.Memory, block: Block) {
    this.view = new DataView(memory.buffer, block.address, block.room);
    this.fields = new Map(place(block).map((p) => [p.field.name, p]));
  }

  private at(name: string, index: number): { type: string; at: number } {
    const placed = this.fields.get(name);
    if (!placed || index >= (placed.field.count ?? 1)) throw new RangeError(`no field ${name}[${index}]`);
    return { type: placed.field.type, at: placed.offset + index * (SIZE[placed.field.type] ?? 0) };
  }

  get(name: string, index = 0): number {
    const { type, at } = this.at(name, index);
    return GET[type]?.(this.view, at) ?? 0;
  }

  set(name: string, value: number, index = 0): void {
    const { type, at } = this.at(name, index);
    set(this.view, type, at, value);
  }
}

/** The four blocks of a core. */
export function blockViews(
  memory: WebAssembly.Memory,
): Record<"boot" | "inputs" | "outputs" | "live", BlockView> {
  return {
    boot: new BlockView(memory, BOOT),
    inputs: new BlockView(memory, INPUTS),
    outputs: new BlockView(memory, OUTPUTS),
    live: new BlockView(memory, LIVE),
  };
}
