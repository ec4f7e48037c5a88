// Reads 32-bit little-endian ELF files: segments with their load addresses, and symbols. Layout from the System V ABI (gabi 4+).

const MAGIC = [0x7f, 0x45, 0x4c, 0x46, 1, 1] as const;
const PT_LOAD = 1;
const SHT_SYMTAB = 2;
const STT_FUNC = 2;
const SYMBOL_BYTES = 16;

/** A range of bytes and the address that it is loaded to. */
export interface Segment {
  readonly address: number;
  readonly bytes: Uint8Array;
}

/** A symbol of the image. Function addresses are without their Thumb bit. */
export interface ElfSymbol {
  readonly name: string;
  readonly address: number;
  readonly size: number;
  readonly isFunction: boolean;
}

/** The parts of an ELF file that are used here. Segments are at their load addresses. */
export interface ElfFile {
  readonly entry: number;
  readonly segments: readonly Segment[];
  readonly symbols: readonly ElfSymbol[];
}

/** True when the bytes start like a 32-bit little-endian ELF file. */
export function isElf(file: Uint8Array): boolean {
  return MAGIC.every((byte, i) => file[i] === byte);
}

/** Reads an ELF file. Throws when it is not one, or is truncated. */
export function readElf(file: Uint8Array): ElfFile {
  if (!isElf(file)) throw new Error("not a 32-bit little-endian ELF file");
  const view = new DataView(file.buffer, file.byteOffset, file.byteLength);
  return {
    entry: view.getUint32(24, true),
    segments: readSegments(file, view),
    symbols: readSymbols(file, view),
  };
}

function readSegments(file: Uint8Array, view: DataView): Segment[] {
  const at = view.getUint32(28, true);
  const size = view.getUint16(42, true);
  const segments: Segment[] = [];
  for (let i = 0; i < view.getUint16(44, true); i++) {
    const header = at + i * size;
    const length = view.getUint32(header + 16, true);
    if (view.getUint32(header, true) !== PT_LOAD || length === 0) continue;
    const offset = view.getUint32(header + 4, true);
    if (offset + length > file.length) throw new Error("ELF file is cut short");
    segments.push({ address: view.getUint32(header + 12, true), bytes: file.slice(offset, offset + length) });
  }
  return segments;
}

interface Section {
  readonly type: number;
  readonly offset: number;
  readonly size: number;
  readonly link: number;
}

function readSections(view: DataView): Section[] {
  const at = view.getUint32(32, true);
  const size = view.getUint16(46, true);
  return Array.from({ length: view.getUint16(48, true) }, (_, i) => {
    const word = (offset: number): number => view.getUint32(at + i * size + offset, true);
    return { type: word(4), offset: word(16), size: word(20), link: word(24) };
  });
}

function readSymbols(file: Uint8Array, view: DataView): ElfSymbol[] {
  const sections = readSections(view);
  const table = sections.find((section) => section.type === SHT_SYMTAB);
  if (!table) return [];
  const names = sections[table.link]!;
  const symbols: ElfSymbol[] = [];
  for (let at = table.offset; at < table.offset + table.size; at += SYMBOL_BYTES) {
    const name = stringAt(file, names.offset + view.getUint32(at, true));
    const isFunction = (view.getUint8(at + 12) & 0xf) === STT_FUNC;
    const value = view.getUint32(at + 4, true);
    if (name === "" || name.startsWith("$")) continue;
    symbols.push({
      name,
      address: isFunction ? value & ~1 : value,
      size: view.getUint32(at + 8, true),
      isFunction,
    });
  }
  return symbols;
}

function stringAt(file: Uint8Array, offset: number): string {
  return new TextDecoder().decode(file.subarray(offset, file.indexOf(0, offset)));
}
