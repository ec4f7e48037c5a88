// Reads an image file, UF2 or ELF, into flash contents and symbols.
import { FLASH } from "#shared-schema/model/blocks.ts";
import { isElf, readElf, type Segment } from "./elf.ts";
import { SymbolTable } from "./symbols.ts";
import { decodeUf2 } from "./uf2.ts";

const FLASH_BASE = 0x10000000;

/** An image ready to be written to flash. Segment addresses are offsets from the start of the flash. */
export interface LoadedImage {
  readonly segments: readonly Segment[];
  readonly symbols: SymbolTable;
}

/** Reads an image. Throws when it is neither UF2 nor ELF, or contains anything outside the flash. */
export function loadImage(file: Uint8Array): LoadedImage {
  if (!isElf(file)) return { segments: toOffsets([decodeUf2(file)]), symbols: new SymbolTable([]) };
  const elf = readElf(file);
  return { segments: toOffsets(elf.segments), symbols: new SymbolTable(elf.symbols) };
}

function toOffsets(segments: readonly Segment[]): Segment[] {
  return segments.map(({ address, bytes }) => {
    const offset = address - FLASH_BASE;
    if (offset < 0 || offset + bytes.length > FLASH.bytes) {
      throw new Error(`the image has bytes for address 0x${address.toString(16)}, which is not flash`);
    }
    return { address: offset, bytes };
  });
}
