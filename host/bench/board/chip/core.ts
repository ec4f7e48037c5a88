// Corrections of the package's Cortex-M0+ core: interrupt timing, masking and waiting, Thumb bits, and flags that it gets wrong.
import type { RP2040 } from "rp2040js";
import { hardFault, hex, refuse } from "./fault.ts";
import { CommonInstructions } from "./instructions.ts";

type Core = RP2040["core"];

/** Cycles from an interrupt to its handler's first instruction, and from its return to the next one. Cortex-M0+ TRM, zero wait states. */
export const INTERRUPT_ENTRY_CYCLES = 15;
export const INTERRUPT_EXIT_CYCLES = 13;

const LOWEST_PRIORITY = 4;
const HARD_FAULT = 3;
const FIRST_IRQ = 16;
const BRANCH_EXCHANGE = 0x4700;
const SRAM_BASE = 0x20000000;

/** Runs one core. Everything it owes in cycles beyond the instructions is paid before the next instruction. */
export class CoreRunner {
  readonly core: Core;
  /** Instructions of the last `run`; what an interrupt's entry or exit took counts as one. */
  ran = 0;
  /** Called before the instruction at an address runs, which they may change; undefined while there are none, for speed. */
  watches: ReadonlyMap<number, () => void> | undefined;
  readonly #common: CommonInstructions;
  readonly #sram16: Uint16Array;
  #owedCycles = 0;
  #hardFaultPending = false;

  constructor(core: Core) {
    this.core = core;
    this.#common = new CommonInstructions(core);
    this.#sram16 = new Uint16Array(core.rp2040.sram.buffer, 0, core.rp2040.sram.length / 2);
    const { exceptionEntry, exceptionReturn, BXWritePC } = core;
    core.checkForInterrupts = () => this.#takeInterrupt();
    core.exceptionEntry = (number) => {
      exceptionEntry.call(core, number);
      if ((core.PC & 1) === 0) hardFault(`vector ${number} is ${hex(core.PC)}, without its Thumb bit`);
      core.PC &= ~1;
      this.#owedCycles += INTERRUPT_ENTRY_CYCLES;
    };
    core.exceptionReturn = (value) => {
      exceptionReturn.call(core, value);
      this.#owedCycles += INTERRUPT_EXIT_CYCLES;
    };
    core.BXWritePC = (address) => {
      if ((address & 1) === 0) hardFault(`jump to ${hex(address)}, without its Thumb bit`);
      BXWritePC.call(core, address);
    };
  }

  /** Address of the instruction that ran last, -1 before the first. */
  get pc(): number {
    return this.#common.pc;
  }

  /**
   * Runs for less than the cycles `allowed` says, and to the end of the instruction that crosses them; less, where something has
   * to be looked at first, but never nothing. Returns cycles. `allowed` is asked anew after what may have changed it.
   */
  run(allowed: () => number): number {
    if (this.#mustLook() || this.watches !== undefined) return this.#oneStep();
    const cycles = this.#common.stretch(allowed());
    this.ran = this.#common.ran;
    if (cycles === 0) return this.#oneStep();
    if (this.ran > 1 || this.core.waiting || this.#mustLook()) return cycles;
    return cycles + this.#goOn(allowed() - cycles);
  }

  #mustLook(): boolean {
    return this.core.interruptsUpdated || this.#hardFaultPending || this.#owedCycles > 0;
  }

  #oneStep(): number {
    const cycles = this.step();
    this.ran = 1;
    return cycles;
  }

  /** After an instruction that ran alone and left nothing to be looked at. */
  #goOn(most: number): number {
    if (most <= 0) return 0;
    const cycles = this.#common.compiled(most);
    this.ran += this.#common.ran;
    return cycles;
  }

  /** Runs one instruction, or pays for an interrupt's entry or exit. Returns cycles. */
  step(): number {
    const { core } = this;
    if (core.interruptsUpdated || this.#hardFaultPending) core.checkForInterrupts();
    if (this.#owedCycles > 0) {
      const owed = this.#owedCycles;
      this.#owedCycles = 0;
      return owed;
    }
    if (this.watches !== undefined) this.watches.get(core.PC)?.();
    const pc = core.PC;
    this.#common.pc = pc;
    const halfword = (pc - SRAM_BASE) >>> 1;
    const code = this.#sram16;
    const opcode = halfword < code.length ? code[halfword]! : core.readUint16(pc);
    if (core.interruptsUpdated) return core.executeInstruction();
    return this.#common.one(opcode) || this.#runOther(opcode);
  }

  #runOther(opcode: number): number {
    const { core } = this;
    if ((opcode & 0xff00) === BRANCH_EXCHANGE) this.#checkThumbBit(opcode);
    return core.executeInstruction();
  }

  /** A read of flash has to wait: paid before the next instruction. */
  wait(cycles: number): void {
    this.#owedCycles += cycles;
  }

  /** True when the waiting core has a reason to go on; it then no longer waits. */
  wakes(): boolean {
    if (this.core.waiting) this.#takeInterrupt();
    return !this.core.waiting;
  }

  /** Makes the core take a HardFault before its next instruction. */
  raiseHardFault(): void {
    this.#hardFaultPending = true;
    this.core.waiting = false;
  }

  #checkThumbBit(opcode: number): void {
    const target = this.core.registers[(opcode >> 3) & 0xf]!;
    if ((target & 1) === 0) hardFault(`jump to ${hex(target)}, without its Thumb bit`);
  }

  /** PRIMASK holds an interrupt off but does not keep the core asleep. */
  #takeInterrupt(): boolean {
    const { core } = this;
    if (this.#hardFaultPending) {
      this.#hardFaultPending = false;
      return this.#enter(HARD_FAULT);
    }
    const number = this.#mostUrgent();
    if (number === 0) {
      core.interruptsUpdated = false;
      return false;
    }
    core.waiting = false;
    if (core.PM) {
      core.interruptsUpdated = false;
      return false;
    }
    return this.#enter(number);
  }

  #enter(number: number): boolean {
    if (number === HARD_FAULT && this.core.IPSR === HARD_FAULT)
      refuse("fault inside the HardFault handler: lockup");
    this.core.waiting = false;
    this.core.exceptionEntry(number);
    return true;
  }

  /** Number of the pending exception that outranks what runs now, 0 for none. SVCall, PendSV, SysTick and NMI are refused. */
  #mostUrgent(): number {
    const { core } = this;
    if (core.pendingNMI || core.pendingSVCall || core.pendingPendSV || core.pendingSystick) {
      refuse("NMI, SVCall, PendSV or SysTick: not modelled");
    }
    const pending = core.pendingInterrupts & core.enabledInterrupts;
    if (pending === 0) return 0;
    const running = core.exceptionPriority(core.IPSR);
    for (let priority = 0; priority < Math.min(running, LOWEST_PRIORITY); priority++) {
      const level = pending & core.interruptPriorities[priority]!;
      if (level !== 0) return FIRST_IRQ + 31 - Math.clz32(level & -level);
    }
    return 0;
  }
}
