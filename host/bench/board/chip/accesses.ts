// Instructions that load and store.
import type { RP2040 } from "rp2040js";
import { lowRegister } from "./arithmetic.ts";

type Core = RP2040["core"];

const SRAM_BASE = 0x20000000;
const SRAM_BYTES = 0x42000;

/** Cycles of a load or store at an address, that of the instruction included; the package knows them. */
function accessCycles(core: Core, address: number, isWrite = false): number {
  return (address - SRAM_BASE) >>> 0 < SRAM_BYTES ? 2 : 1 + core.cyclesIO(address, isWrite);
}

export function load32(core: Core, register: number, address: number): number {
  const cycles = accessCycles(core, address);
  core.registers[register] = core.readUint32(address);
  return cycles;
}

function load16(core: Core, register: number, address: number): number {
  const cycles = accessCycles(core, address);
  core.registers[register] = core.readUint16(address);
  return cycles;
}

function load8(core: Core, register: number, address: number): number {
  const cycles = accessCycles(core, address);
  core.registers[register] = core.readUint8(address);
  return cycles;
}

export function store32(core: Core, register: number, address: number): number {
  const cycles = accessCycles(core, address, true);
  core.writeUint32(address, core.registers[register]!);
  return cycles;
}

function store16(core: Core, register: number, address: number): number {
  const cycles = accessCycles(core, address, true);
  core.writeUint16(address, core.registers[register]!);
  return cycles;
}

function store8(core: Core, register: number, address: number): number {
  const cycles = accessCycles(core, address, true);
  core.writeUint8(address, core.registers[register]!);
  return cycles;
}

export function accessByRegister(core: Core, opcode: number): number {
  const address = lowRegister(core, opcode, 3) + lowRegister(core, opcode, 6);
  const register = opcode & 7;
  switch ((opcode >> 9) & 7) {
    case 0:
      return store32(core, register, address);
    case 1:
      return store16(core, register, address);
    case 2:
      return store8(core, register, address);
    case 4:
      return load32(core, register, address);
    case 5:
      return load16(core, register, address);
    case 6:
      return load8(core, register, address);
    default:
      return 0;
  }
}

/** Loads and stores at a register plus a number in the instruction, counted in units of what is moved. */
export function accessByNumber(core: Core, opcode: number): number {
  const base = lowRegister(core, opcode, 3);
  const number = (opcode >> 6) & 31;
  const register = opcode & 7;
  switch (opcode >> 11) {
    case 0b01100:
      return store32(core, register, base + 4 * number);
    case 0b01101:
      return load32(core, register, base + 4 * number);
    case 0b01110:
      return store8(core, register, base + number);
    case 0b01111:
      return load8(core, register, base + number);
    case 0b10000:
      return store16(core, register, base + 2 * number);
    default:
      return load16(core, register, base + 2 * number);
  }
}
