// The ELF reader on a file built by hand after the System V ABI, on the released one, and on broken ones.
import { readFileSync } from "node:fs";
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { isElf, readElf } from "#host/image/elf.ts";
import { loadImage } from "#host/image/load.ts";
import { SymbolTable } from "#host/image/symbols.ts";
import { decodeUf2 } from "#host/image/uf2.ts";

const HEADER = 52;
const PROGRAM_HEADER = 32;
const SECTION_HEADER = 40;
const SYMBOL = 16;
const RESET_VECTOR = 0x104;
const released = (name: string) => new Uint8Array(readFileSync(`firmware/image/${name}`));

/** One loaded segment and two symbols: a function at 0x20000101 of 8 bytes, and an object at 0x20000200. */
function handMade(bytes: Uint8Array, address: number): Uint8Array {
  const names = new TextEncoder().encode("\0work\0table\0");
  const at = { program: HEADER, data: HEADER + PROGRAM_HEADER, symbols: 0, names: 0, sections: 0 };
  at.symbols = at.data + bytes.length;
  at.names = at.symbols + 3 * SYMBOL;
  at.sections = at.names + names.length;
  const file = new Uint8Array(at.sections + 3 * SECTION_HEADER);
  const view = new DataView(file.buffer);
  const words = (offset: number, values: number[]) => {
    for (const [i, value] of values.entries()) view.setUint32(offset + 4 * i, value, true);
  };
  file.set([0x7f, 0x45, 0x4c, 0x46, 1, 1, 1], 0);
  words(24, [0x20000101, at.program, at.sections]);
  for (const [i, half] of [HEADER, PROGRAM_HEADER, 1, SECTION_HEADER, 3, 0].entries())
    view.setUint16(40 + 2 * i, half, true);
  words(at.program, [1, at.data, 0x20000100, address, bytes.length, bytes.length, 5, 4]);
  file.set(bytes, at.data);
  words(at.symbols + SYMBOL, [1, 0x20000101, 8, 2]);
  words(at.symbols + 2 * SYMBOL, [6, 0x20000200, 4, 1]);
  file.set(names, at.names);
  words(at.sections + SECTION_HEADER, [0, 2, 0, 0, at.symbols, 3 * SYMBOL, 2]);
  words(at.sections + 2 * SECTION_HEADER, [0, 3, 0, 0, at.names, names.length]);
  return file;
}

test.prop([fc.uint8Array({ minLength: 1, maxLength: 64 }), fc.integer({ min: 0, max: 0x1000 })])(
  "a file built by hand",
  (bytes, offset) => {
    const elf = readElf(handMade(bytes, 0x10000000 + offset));
    expect(elf.entry).toBe(0x20000101);
    expect(elf.segments).toEqual([{ address: 0x10000000 + offset, bytes }]);
    expect(elf.symbols).toEqual([
      { name: "work", address: 0x20000100, size: 8, isFunction: true },
      { name: "table", address: 0x20000200, size: 4, isFunction: false },
    ]);
  },
);

describe("broken files", () => {
  test("another format, and a segment that is cut off", () => {
    expect(() => readElf(new Uint8Array(100))).toThrow("not a 32-bit");
    const file = handMade(Uint8Array.of(1, 2, 3, 4), 0x10000000);
    new DataView(file.buffer).setUint32(HEADER + 16, 1 << 20, true);
    expect(() => readElf(file)).toThrow("cut short");
  });

  test("bytes for anything but flash", () => {
    expect(() => loadImage(handMade(Uint8Array.of(1), 0x20000000))).toThrow("not flash");
    expect(() => loadImage(handMade(Uint8Array.of(1, 2), 0x101fffff))).toThrow("not flash");
  });
});

describe("the released image", () => {
  test("the ELF file names the function that the UF2 file starts with", () => {
    const elf = readElf(released("headgate.elf"));
    const { bytes } = decodeUf2(released("headgate.uf2"));
    const vector = new DataView(bytes.buffer).getUint32(RESET_VECTOR, true);
    const symbols = new SymbolTable(elf.symbols);
    expect(vector & 1).toBe(1);
    expect(symbols.at(vector & ~1)).toBe("reset_handler");
    expect(symbols.find("reset_handler").address).toBe(vector & ~1);
    expect(isElf(released("headgate.uf2"))).toBe(false);
  });
});

describe("symbols", () => {
  const functions = fc.uniqueArray(
    fc.tuple(fc.integer({ min: 0, max: 1000 }), fc.integer({ min: 2, max: 40 })),
    {
      selector: ([address]) => address,
    },
  );

  test.prop([functions, fc.integer({ min: 0, max: 1100 })])(
    "an address belongs to the last function before it, or to none",
    (list, address) => {
      const symbols = list.map(([at, size]) => ({ name: `f${at}`, address: at, size, isFunction: true }));
      const before = list.filter(([at]) => at <= address).sort(([a], [b]) => b - a)[0];
      const expected = before && address < before[0] + before[1] ? `f${before[0]}` : undefined;
      expect(new SymbolTable(symbols).at(address)).toBe(expected);
    },
  );

  test("an unknown name is an error", () => {
    expect(() => new SymbolTable([]).find("nothing")).toThrow("no symbol named nothing");
  });
});
