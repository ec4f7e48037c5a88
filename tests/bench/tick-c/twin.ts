// The tick in C beside a core rig: it gets the rig's inputs before every tick, and its outputs must be the core's.
import type { CoreRig } from "#host/bench/core/rig.ts";
import type { ElfFile } from "#host/image/elf.ts";
import { SymbolTable } from "#host/image/symbols.ts";
import { LIVE } from "#shared-schema/link/columns.ts";
import { INPUTS, LOG_RING, OUTPUTS } from "#shared-schema/model/blocks.ts";
import { blockBytes } from "#shared-schema/model/layout.ts";
import { toBytes } from "#shared-schema/settings/pack.ts";
import type { NativeCore } from "../../support/native-core.ts";
import { TICK_C_ADDRESS } from "./build.ts";

const RAM_END = 0x20040000;

/** One tick of both: cycles of the one in C, and the first thing that differs. */
export interface TickOfC {
  readonly cycles: number;
  readonly differs: string | undefined;
}

/** The tick in C, loaded into the RAM of a chip. */
export class TickC {
  readonly #native: NativeCore;
  readonly #symbols: SymbolTable;

  constructor(native: NativeCore, elf: ElfFile, settings: Uint16Array) {
    if (native.ramEnd > TICK_C_ADDRESS)
      throw new Error("the released image reaches into the tick in C: move TICK_C_ADDRESS");
    this.#native = native;
    this.#symbols = new SymbolTable(elf.symbols);
    native.ram(TICK_C_ADDRESS, RAM_END - TICK_C_ADDRESS).fill(0);
    for (const { address, bytes } of elf.segments) native.ram(address, bytes.length).set(bytes);
    this.variable("settings").set(toBytes(settings));
    native.run(this.#symbols.find("start").address, 0);
  }

  /** Bytes of one of its variables. */
  variable(name: string): Uint8Array {
    const { address, size } = this.#symbols.find(name);
    return this.#native.ram(address, size);
  }

  /** Runs one tick; returns its cycles. */
  tick(nowUs: number): number {
    return this.#native.run(this.#symbols.find("tick").address, nowUs);
  }
}

/** Lets every tick of a rig run in C too, and hands on what came of it. */
export function twinInC(rig: CoreRig, c: TickC, seen: (tick: TickOfC) => void): void {
  const { core } = rig;
  const bytes = (address: number, length: number): Uint8Array =>
    new Uint8Array(core.memory.buffer, address, length);
  const blocks = [
    ["outputs", bytes(OUTPUTS.address, blockBytes(OUTPUTS))],
    ["live", bytes(LIVE.address, blockBytes(LIVE))],
    ["log_ring", bytes(LOG_RING.address, c.variable("log_ring").length)],
  ] as const;
  const tick = (nowUs: number): void => {
    c.variable("inputs").set(bytes(INPUTS.address, blockBytes(INPUTS)));
    core.tick(nowUs);
    const cycles = c.tick(nowUs);
    const differs = blocks.find(([name, its]) => !same(its, c.variable(name)));
    seen({ cycles, differs: differs?.[0] });
  };
  Object.assign(rig, { core: { ...core, tick } });
}

function same(a: Uint8Array, b: Uint8Array): boolean {
  return Buffer.compare(a, b.subarray(0, a.length)) === 0;
}
