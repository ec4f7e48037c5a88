// Reads what the project needs of a 32-bit little-endian ELF file (System V ABI): sections, loaded segments, symbols.

/** A section as its header tells. `bytes` is empty for one that takes no room in the file. */
export interface ElfSection {
  readonly name: string;
  readonly address: number;
  readonly size: number;
  readonly flags: number;
  readonly bytes: Uint8Array;
}

/** A loaded segment: `loadAddress` is where it lies in flash, `address` where it runs. */
export interface ElfSegment {
  readonly address: number;
  readonly loadAddress: number;
  readonly bytes: Uint8Array;
}

/** A symbol; `type` 1 is an object, 2 a function, whose address has the Thumb bit taken off. */
export interface ElfSymbol {
  readonly name: string;
  readonly address: number;
  readonly size: number;
  readonly type: number;
}

/** The parts of an ELF file. */
export interface Elf {
  readonly sections: readonly ElfSection[];
  readonly segments: readonly ElfSegment[];
  readonly symbols: readonly ElfSymbol[];
}

/** Symbol type of a function. */
export const STT_FUNC = 2;
/** Section flag: holds machine instructions. */
export const SHF_EXECINSTR = 4;
/** Section flag: takes room in the running program. */
export const SHF_ALLOC = 2;
const ELF32_LITTLE_ENDIAN = [0x7f, 0x45, 0x4c, 0x46, 1, 1];
const PT_LOAD = 1;
const SHT_NOBITS = 8;
const SYMBOL_BYTES = 16;

/** Reads a whole ELF file. Throws when it is not one of 32 bits, little-endian. */
export function readElf(file: Uint8Array): Elf {
  if (ELF32_LITTLE_ENDIAN.some((byte, i) => file[i] !== byte))
    throw new Error("not a 32-bit little-endian ELF file");
  const view = new DataView(file.buffer, file.byteOffset, file.byteLength);
  const sections = readSections(file, view);
  return { sections, segments: readSegments(file, view), symbols: readSymbols(sections) };
}

/** Text up to the next zero byte. */
function textAt(bytes: Uint8Array, at: number): string {
  return Buffer.from(bytes.subarray(at, bytes.indexOf(0, at))).toString("latin1");
}

function readSections(file: Uint8Array, view: DataView): ElfSection[] {
  const [at, step, count] = [view.getUint32(32, true), view.getUint16(46, true), view.getUint16(48, true)];
  const raw = Array.from({ length: count }, (_, i) => readSection(file, view, at + i * step));
  const names = raw[view.getUint16(50, true)]!.bytes;
  return raw.map(({ nameAt, ...section }) => ({ name: textAt(names, nameAt), ...section }));
}

function readSection(file: Uint8Array, view: DataView, at: number) {
  const word = (index: number): number => view.getUint32(at + 4 * index, true);
  const [nameAt, type, flags, address, offset, size] = [0, 1, 2, 3, 4, 5].map(word) as [
    number,
    number,
    number,
    number,
    number,
    number,
  ];
  const bytes = file.subarray(offset, type === SHT_NOBITS ? offset : offset + size);
  return { nameAt, address, size, flags, bytes };
}

function readSegments(file: Uint8Array, view: DataView): ElfSegment[] {
  const [at, step, count] = [view.getUint32(28, true), view.getUint16(42, true), view.getUint16(44, true)];
  const starts = Array.from({ length: count }, (_, i) => at + i * step);
  return starts
    .filter((start) => view.getUint32(start, true) === PT_LOAD)
    .map((start) => {
      const [offset, address, loadAddress, size] = [1, 2, 3, 4].map((i) =>
        view.getUint32(start + 4 * i, true),
      );
      return { address: address!, loadAddress: loadAddress!, bytes: file.subarray(offset!, offset! + size!) };
    });
}

function readSymbols(sections: readonly ElfSection[]): ElfSymbol[] {
  const table = sections.find((section) => section.name === ".symtab")?.bytes ?? new Uint8Array();
  const names = sections.find((section) => section.name === ".strtab")?.bytes ?? new Uint8Array();
  const view = new DataView(table.buffer, table.byteOffset, table.byteLength);
  return Array.from({ length: table.length / SYMBOL_BYTES }, (_, i) => {
    const at = i * SYMBOL_BYTES;
    const type = table[at + 12]! & 15;
    const value = view.getUint32(at + 4, true);
    const address = type === STT_FUNC ? value & ~1 : value;
    return {
      name: textAt(names, view.getUint32(at, true)),
      address: address >>> 0,
      size: view.getUint32(at + 8, true),
      type,
    };
  });
}
