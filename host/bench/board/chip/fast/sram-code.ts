// Runs code in SRAM as WebAssembly: one memory holds a chip's SRAM and, behind it, its core's registers and flags.
import type { RP2040 } from "rp2040js";
import { RUN_CODE } from "./generated/code.ts";

const PAGES = 5;
const SRAM_BYTES = 0x42000;
const REGISTERS = 16;
const FLAGS = 4;
/** Places behind the flags: address of the instruction that ran last, and how many ran. */
const LAST = 4;
const RAN = 5;
/** Cycles that are asked for at most: enough for any stretch, and a number that the compiled code knows. */
const MOST = 0x3fffffff;

type Run = (most: number) => number;

const PROGRAM = new WebAssembly.Module(Buffer.from(RUN_CODE, "base64"));

function instantiate(memory: WebAssembly.Memory): Run {
  return new WebAssembly.Instance(PROGRAM, { env: { memory } }).exports.run as Run;
}

/** Gives a chip memory that the compiled code can reach, and runs it. */
export class SramCode {
  /** Flags as in arithmetic.ts; what runs here leaves them there. */
  readonly flags: Int32Array;
  readonly #run: Run;

  constructor(core: RP2040["core"]) {
    const memory = new WebAssembly.Memory({ initial: PAGES, maximum: PAGES });
    const { buffer } = memory;
    const sram = new Uint8Array(buffer, 0, SRAM_BYTES);
    sram.set(core.rp2040.sram);
    Object.assign(core.rp2040, { sram, sramView: new DataView(buffer, 0, SRAM_BYTES) });
    const registers = new Uint32Array(buffer, SRAM_BYTES, REGISTERS);
    registers.set(core.registers);
    Object.assign(core, { registers });
    this.flags = new Int32Array(buffer, SRAM_BYTES + 4 * REGISTERS, FLAGS + 2);
    this.flags[LAST] = -1;
    this.#run = instantiate(memory);
  }

  /**
   * Runs instructions that stay in SRAM until `most` cycles are over or one comes that does not. Returns cycles, 0 when the
   * first has to run elsewhere.
   */
  run(most: number): number {
    return this.#run(most < MOST ? Math.ceil(most) : MOST);
  }

  /** Instructions that the last run had. */
  get ran(): number {
    return this.flags[RAN]!;
  }

  /** Address of the instruction that ran last, -1 before the first. */
  get pc(): number {
    return this.flags[LAST]!;
  }

  set pc(address: number) {
    this.flags[LAST] = address;
  }
}
