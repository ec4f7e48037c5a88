// What the emulator refuses: anything that silicon would answer with a fault, with silence or with luck.

/** An access or instruction that the emulated board does not allow. `pc` and `symbol` are filled in by the board. */
export class EmulationFault extends Error {
  /** Address of the instruction, -1 when it happened outside the program. */
  pc = -1;
  /** Function of the image that holds `pc`, when the image carries symbols. */
  symbol: string | undefined;
  readonly reason: string;
  /** True when silicon answers with a HardFault; else it would answer with silence or luck. */
  readonly isHardFault: boolean;

  constructor(reason: string, isHardFault: boolean) {
    super(reason);
    this.name = "EmulationFault";
    this.reason = reason;
    this.isHardFault = isHardFault;
  }

  /** Adds where it happened; the first place stays, and a negative `pc` is none. */
  at(pc: number, symbol: string | undefined): this {
    if (this.pc >= 0 || pc < 0) return this;
    this.pc = pc;
    this.symbol = symbol;
    this.message = `${this.reason}, at 0x${pc.toString(16)}${symbol ? ` in ${symbol}` : ""}`;
    return this;
  }
}

/** Throws an EmulationFault for something that silicon would let pass, or pass over. */
export function refuse(reason: string): never {
  throw new EmulationFault(reason, false);
}

/** Throws an EmulationFault for something that silicon answers with a HardFault. */
export function hardFault(reason: string): never {
  throw new EmulationFault(reason, true);
}

/** A number as eight hex digits. */
export function hex(value: number): string {
  return `0x${(value >>> 0).toString(16).padStart(8, "0")}`;
}
