// The core rig: the control core's own .wasm in Node, with its blocks laid open and a flash chip in memory.

import { QUIET_PASSES } from "#shared-schema/link/messages.ts";
import { FLASH, LINK_RX, LINK_TX } from "#shared-schema/model/blocks.ts";
import { toBytes } from "#shared-schema/settings/pack.ts";
import { MemoryFlash } from "./flash.ts";
import { type BlockView, blockViews } from "./memory.ts";

interface CoreExports {
  readonly memory: WebAssembly.Memory;
  boot(): void;
  tick(nowUs: number): void;
  keepRecords(): void;
  keepTick(): number;
  serve(rxCount: number): number;
  judgeStaging(): number;
  stagingAddress(): number;
}

/** What the core asked of the board layer besides flash. */
export interface BoardRequest {
  readonly kind: "baud" | "restart";
  readonly value: number;
}

/** One control core. Compile the module once with `WebAssembly.compile`; a rig takes microseconds to make. */
export class CoreRig {
  readonly flash: MemoryFlash;
  readonly core: CoreExports;
  readonly boot: BlockView;
  readonly inputs: BlockView;
  readonly outputs: BlockView;
  readonly live: BlockView;
  readonly requests: BoardRequest[] = [];
  /** Does whoever ticks it let it write what each tick has read? It does on the board. */
  keepsTicks = false;
  /** All of the core's memory; it never grows. */
  private readonly memory: Uint8Array;

  constructor(module: WebAssembly.Module, flash = new MemoryFlash()) {
    this.flash = flash;
    const instance = new WebAssembly.Instance(module, { board: this.imports() });
    this.core = instance.exports as unknown as CoreExports;
    this.memory = new Uint8Array(this.core.memory.buffer);
    const views = blockViews(this.core.memory);
    this.boot = views.boot;
    this.inputs = views.inputs;
    this.outputs = views.outputs;
    this.live = views.live;
  }

  private imports(): Record<string, (...args: number[]) => void> {
    return {
      flashRead: (offset = 0, address = 0, length = 0) =>
        this.memory.set(this.flash.read(offset, length), address),
      flashErase: (offset = 0) => this.flash.erase(offset),
      flashProgram: (offset = 0, address = 0) =>
        this.flash.program(offset, this.memory.subarray(address, address + FLASH.page)),
      setBaud: (value = 0) => void this.requests.push({ kind: "baud", value }),
      restart: (value = 0) => void this.requests.push({ kind: "restart", value }),
    };
  }

  /** What the board lets it do between ticks. */
  keep(): void {
    this.core.keepRecords();
    if (this.keepsTicks) this.core.keepTick();
  }

  /** Starts the core as the board layer does after a reset for `reason` (see blocks.ts), with a good image. */
  start(reason = 0): void {
    this.boot.set("reason", reason);
    this.boot.set("imageGood", 1);
    this.core.boot();
  }

  /** Hands bytes to the link handler, as the board layer does up to the zero that ends a frame, and collects what it sends. */
  exchange(bytes: Uint8Array): Uint8Array {
    const sent: Uint8Array[] = [];
    for (let at = 0; at < bytes.length; ) {
      const zero = bytes.indexOf(0, at);
      const piece = bytes.subarray(at, Math.min(at + LINK_RX.room, zero < 0 ? bytes.length : zero + 1));
      at += piece.length;
      this.memory.set(piece, LINK_RX.address);
      const count = this.core.serve(piece.length);
      if (count > 0) sent.push(this.memory.slice(LINK_TX.address, LINK_TX.address + count));
    }
    const [only] = sent;
    return sent.length === 1 && only ? only : Uint8Array.from(sent.flatMap((part) => [...part]));
  }

  /** So many passes of the main loop with nothing on the line: enough that it counts as quiet, if not told otherwise. */
  idle(passes = QUIET_PASSES): void {
    for (let i = 0; i < passes; i++) this.core.serve(0);
  }

  /** Word index and rule number of the first fault that the core finds in a settings block; undefined when it is right. */
  judge(words: Uint16Array): { word: number; rule: number } | undefined {
    const bytes = toBytes(words);
    new Uint8Array(this.core.memory.buffer, this.core.stagingAddress(), bytes.length).set(bytes);
    const verdict = this.core.judgeStaging();
    return verdict === 0 ? undefined : { word: (verdict - 1) >> 8, rule: (verdict - 1) & 0xff };
  }
}
