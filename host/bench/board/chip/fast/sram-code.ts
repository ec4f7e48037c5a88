// Runs code in SRAM as WebAssembly: one memory holds a chip's SRAM and, behind it, its core's registers and flags.
import type { RP2040 } from "rp2040js";
import { CARRY, NEGATIVE, OVERFLOW, ZERO } from "../arithmetic.ts";
import { RUN_CODE } from "./generated/code.ts";

const PAGES = 5;
const SRAM_BASE = 0x20000000;
const SRAM_BYTES = 0x42000;
const REGISTERS = 16;
const PC = 15;
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
  readonly #core: RP2040["core"];
  readonly #run: Run;
  readonly #halves: Uint16Array;
  readonly #registers: Uint32Array;
  /** Where it stopped before its cycles were over, and what is there. */
  #left = -1;
  #leftCode: number | undefined;

  constructor(core: RP2040["core"]) {
    this.#core = core;
    const memory = new WebAssembly.Memory({ initial: PAGES, maximum: PAGES });
    const { buffer } = memory;
    const sram = new Uint8Array(buffer, 0, SRAM_BYTES);
    sram.set(core.rp2040.sram);
    Object.assign(core.rp2040, { sram, sramView: new DataView(buffer, 0, SRAM_BYTES) });
    const registers = new Uint32Array(buffer, SRAM_BYTES, REGISTERS);
    registers.set(core.registers);
    Object.assign(core, { registers });
    this.#registers = registers;
    this.#halves = new Uint16Array(buffer, 0, SRAM_BYTES / 2);
    this.flags = new Int32Array(buffer, SRAM_BYTES + 4 * REGISTERS, FLAGS + 2);
    this.flags[LAST] = -1;
    this.#run = instantiate(memory);
  }

  /**
   * Runs instructions that stay in SRAM until `most` cycles are over or one comes that does not. Returns cycles, 0 when the
   * first has to run elsewhere.
   */
  run(most: number): number {
    const cycles = this.#run(most < MOST ? Math.ceil(most) : MOST);
    if (cycles < most) this.#leave();
    return cycles;
  }

  #leave(): void {
    this.#left = this.#registers[PC]!;
    this.#leftCode = this.#codeAt(this.#left);
  }

  /** Was what is to run next left the last time? Then it need not be tried again. */
  get isLeft(): boolean {
    const pc = this.#registers[PC]!;
    return pc === this.#left && this.#codeAt(pc) === this.#leftCode;
  }

  #codeAt(address: number): number | undefined {
    return this.#halves[(address - SRAM_BASE) >>> 1];
  }

  /** Takes the flags from the package's core. */
  fetchFlags(): void {
    const core = this.#core;
    const f = this.flags;
    f[NEGATIVE] = core.N ? -1 : 0;
    f[ZERO] = core.Z ? 0 : 1;
    f[CARRY] = core.C ? 1 : 0;
    f[OVERFLOW] = core.V ? -1 : 0;
  }

  /** Gives them back. */
  putFlags(): void {
    const core = this.#core;
    const f = this.flags;
    core.N = f[NEGATIVE]! < 0;
    core.Z = f[ZERO] === 0;
    core.C = f[CARRY] !== 0;
    core.V = f[OVERFLOW]! < 0;
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
