// Looks up the symbols of an image by name and by address.
import type { ElfSymbol } from "./elf.ts";

/** The symbols of one image; empty for an image without any. */
export class SymbolTable {
  readonly #byName = new Map<string, ElfSymbol>();
  readonly #functions: readonly ElfSymbol[];

  constructor(symbols: readonly ElfSymbol[]) {
    for (const symbol of symbols) this.#byName.set(symbol.name, symbol);
    this.#functions = symbols.filter((symbol) => symbol.isFunction).sort((a, b) => a.address - b.address);
  }

  /** All functions by address. */
  get functions(): readonly ElfSymbol[] {
    return this.#functions;
  }

  /** The symbol with this name. Throws when the image has none. */
  find(name: string): ElfSymbol {
    const found = this.#byName.get(name);
    if (!found) throw new Error(`the image has no symbol named ${name}`);
    return found;
  }

  /** Name of the function that contains an address; undefined when there is none. */
  at(address: number): string | undefined {
    const before = this.#functions.findLast((symbol) => symbol.address <= address);
    return before && address < before.address + Math.max(before.size, 2) ? before.name : undefined;
  }
}
