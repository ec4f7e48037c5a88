// A core of the package with nothing around it: SRAM, and elsewhere memory that gives a number made of the address.
import { ConsoleLogger, LogLevel, RP2040 } from "rp2040js";

const SRAM = 0x20000000;

/** A core, and what was written outside SRAM; to be emptied by who looks at it. */
export interface BareCore {
  readonly core: RP2040["core"];
  readonly writes: string[];
}

function placeMemory({ core, writes }: BareCore, bits: 32 | 16 | 8): void {
  const memory = (): DataView =>
    new DataView(core.rp2040.sram.buffer, core.rp2040.sram.byteOffset, core.rp2040.sram.length);
  const has = (address: number): boolean =>
    address >= SRAM && address + bits / 8 <= SRAM + core.rp2040.sram.length && address % (bits / 8) === 0;
  core[`readUint${bits}`] = (signed: number) => {
    const address = signed >>> 0;
    if (has(address)) return memory()[`getUint${bits}`](address - SRAM, true);
    return Math.imul(address, 0x9e3779b1) >>> (32 - bits);
  };
  core[`writeUint${bits}`] = (signed: number, value: number) => {
    const address = signed >>> 0;
    if (has(address)) memory()[`setUint${bits}`](address - SRAM, value, true);
    else writes.push(`${address}: ${value & (2 ** bits - 1)} of ${bits} bits`);
  };
}

export function bareCore(): BareCore {
  const { core } = new RP2040();
  core.rp2040.logger = new ConsoleLogger(LogLevel.Error, false);
  core.rp2040.onBreak = () => {};
  const bare = { core, writes: [] };
  for (const bits of [32, 16, 8] as const) placeMemory(bare, bits);
  return bare;
}
