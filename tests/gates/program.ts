// The released program as the gates look at it: functions with their bytes, and who calls whom (BL, ARMv6-M A6.7.13).
import { readFileSync } from "node:fs";
import { type ElfSymbol, readElf } from "#host/image/elf.ts";
import { SymbolTable } from "#host/image/symbols.ts";

export const ROOT = new URL("../../", import.meta.url).pathname;
const elf = readElf(new Uint8Array(readFileSync(`${ROOT}firmware/image/headgate.elf`)));
export const symbols = new SymbolTable(elf.symbols);
export const allSymbols: readonly ElfSymbol[] = elf.symbols;

const FLASH_BASE = 0x10000000;
const RAM_BASE = 0x20000000;
const ramStart = symbols.find("image_ram_start").address;
const ramLoad = symbols.find("image_ram_load").address;

/** A call in the program. */
export interface Call {
  readonly from: string;
  readonly at: number;
  readonly to: string;
}

/** Where in flash the byte lies that the program sees at `address`. */
function inFlash(address: number): number {
  return address >= RAM_BASE ? address - ramStart + ramLoad : address;
}

/** The halfwords of a function. */
export function codeOf(symbol: ElfSymbol): number[] {
  const start = inFlash(symbol.address);
  const segment = elf.segments.find((s) => start >= s.address && start < s.address + s.bytes.length);
  if (!segment) throw new Error(`${symbol.name} is not in the image`);
  const view = new DataView(
    segment.bytes.buffer,
    segment.bytes.byteOffset + start - segment.address,
    symbol.size,
  );
  return Array.from({ length: symbol.size >> 1 }, (_, i) => view.getUint16(2 * i, true));
}

function branchTarget(at: number, first: number, second: number): number {
  const sign = (first >> 10) & 1;
  const i1 = 1 - (((second >> 13) & 1) ^ sign);
  const i2 = 1 - (((second >> 11) & 1) ^ sign);
  const offset =
    (sign ? -(1 << 24) : 0) + (i1 << 23) + (i2 << 22) + ((first & 0x3ff) << 12) + ((second & 0x7ff) << 1);
  return at + 4 + offset;
}

const starts = new Map(symbols.functions.map((symbol) => [symbol.address, symbol.name]));

/** BL to the start of a function; the compiler also uses BL for far jumps inside one. */
function callsOf(symbol: ElfSymbol): Call[] {
  const code = codeOf(symbol);
  return code.flatMap((first, i) => {
    const second = code[i + 1] ?? 0;
    if (first >> 11 !== 0b11110 || (second & 0xd000) !== 0xd000) return [];
    const to = starts.get(branchTarget(symbol.address + 2 * i, first, second));
    return to ? [{ from: symbol.name, at: symbol.address + 2 * i, to }] : [];
  });
}

/** Names of the functions that hold, as a constant, an address in a block of registers. */
export function functionsNaming(block: number, bytes: number): string[] {
  const holds = ({ address, size }: ElfSymbol, code: readonly number[]): boolean =>
    code.some((low, i) => {
      const word = (low + (code[i + 1] ?? 0) * 0x10000) >>> 0;
      return (address + 2 * i) % 4 === 0 && 2 * i + 2 < size && word >= block && word < block + bytes;
    });
  return functions.filter((symbol) => holds(symbol, codeOf(symbol))).map((symbol) => symbol.name);
}

/** Functions that have code of their own. */
export const functions = symbols.functions.filter((symbol) => symbol.size > 0);
/** Every BL of the program. */
export const calls: readonly Call[] = functions.flatMap(callsOf);

/** Names of the functions that run from flash. */
export function inFlashOnly(): string[] {
  return symbols.functions.filter((s) => s.address >= FLASH_BASE && s.address < RAM_BASE).map((s) => s.name);
}

/** All functions that can be reached from `name` by calls. */
export function reachableFrom(name: string): Set<string> {
  const reached = new Set([name]);
  for (const from of reached) for (const call of calls) if (call.from === from) reached.add(call.to);
  return reached;
}
