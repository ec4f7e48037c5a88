// An emulated board whose control core runs outside it, as WebAssembly in Node: for tests with a core that was changed.
import type { EmulatedBoard } from "#host/bench/board/emulated-board.ts";
import { MemoryFlash } from "#host/bench/core/flash.ts";
import { CoreRig } from "#host/bench/core/rig.ts";
import { LIVE } from "#shared-schema/link/columns.ts";
import { type Block, BOOT, INPUTS, LINK_RX, LINK_TX, OUTPUTS } from "#shared-schema/model/blocks.ts";

type Area = Pick<Block, "address" | "room">;

/** The board's RAM begins with the core's memory: addresses are the same in both. */
class HostedCore {
  private readonly board: EmulatedBoard;
  private readonly module: WebAssembly.Module;
  private readonly prepare: (rig: CoreRig) => void;
  private rig!: CoreRig;

  constructor(board: EmulatedBoard, module: WebAssembly.Module, prepare: (rig: CoreRig) => void) {
    this.board = board;
    this.module = module;
    this.prepare = prepare;
  }

  private copy(area: Area, toRig: boolean): void {
    const inBoard = this.board.chip.rp2040.sram.subarray(area.address, area.address + area.room);
    const inRig = new Uint8Array(this.rig.core.memory.buffer, area.address, area.room);
    if (toRig) inRig.set(inBoard);
    else inBoard.set(inRig);
  }

  /** Goes back to the caller of the board's own function, which has not run. */
  private leave(result = 0): void {
    const { core } = this.board.chip.rp2040;
    core.registers[0] = result;
    core.PC = core.registers[14]! & ~1;
  }

  private argument(): number {
    return this.board.chip.rp2040.core.registers[1]!;
  }

  boot(): void {
    const flash = Object.assign(new MemoryFlash(), { bytes: this.board.flash.bytes });
    this.rig = new CoreRig(this.module, flash);
    this.prepare(this.rig);
    this.copy(BOOT, true);
    this.rig.core.boot();
    this.leave();
  }

  tick(): void {
    this.copy(INPUTS, true);
    this.rig.core.tick(this.argument());
    this.copy(OUTPUTS, false);
    this.copy(LIVE, false);
    this.leave();
  }

  serve(): void {
    this.copy(LINK_RX, true);
    const count = this.rig.core.serve(this.argument());
    this.copy(LINK_TX, false);
    this.leave(count);
  }
}

/** Puts another core in the place of the board's own. `prepare` is called with each fresh rig, before it boots. */
export function hostCore(
  board: EmulatedBoard,
  module: WebAssembly.Module,
  prepare: (rig: CoreRig) => void = () => {},
): void {
  const hosted = new HostedCore(board, module, prepare);
  board.watch("w2c_core_boot", () => hosted.boot());
  board.watch("w2c_core_tick", () => hosted.tick());
  board.watch("w2c_core_serve", () => hosted.serve());
}
