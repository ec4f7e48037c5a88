// A car whose core keeps its ticks: what each had read, what the core said after it, and the pieces that it has stored of a run.
import type { CoreRig } from "#host/bench/core/rig.ts";
import { decodeTicksPage } from "#host/logbook/ticks-page.ts";
import { type Piece, piecesOf } from "#host/replay/exact/pieces.ts";
import { putTick, type Tick, tickIn } from "#host/replay/exact/tick.ts";
import { MODES } from "#shared-schema/model/modes.ts";
import { FlashLog } from "./flash-log.ts";
import { saidIn, tickPagesIn } from "./stored-ticks.ts";

/** One tick, and the core after it. */
export interface Made {
  readonly tick: Tick;
  readonly said: Buffer;
  readonly mode: string;
  /** Bits of the stages that run, and of the pins that have a gap until the next tick. */
  readonly runs: number;
  readonly gaps: number;
}

/** Lays itself around the ticks of a rig that has made none yet. `disturb` changes what the next tick reads. */
export class KeptRun {
  /** All ticks since the start. */
  readonly made: Made[] = [];
  private readonly rig: CoreRig;

  constructor(rig: CoreRig, disturb: (tick: Tick) => void) {
    const { core } = rig;
    const view = new DataView(core.memory.buffer);
    const memory = new Uint8Array(core.memory.buffer);
    const tick = (nowUs: number): void => {
      const read = tickIn(view, nowUs);
      disturb(read);
      putTick(view, read);
      core.tick(nowUs);
      const { live, outputs } = rig;
      const mode = MODES[live.get("mode")]!;
      const [runs, gaps] = [outputs.get("runs"), outputs.get("gaps")];
      this.made.push({ tick: read, said: saidIn(memory), mode, runs, gaps });
    };
    this.rig = rig;
    Object.assign(rig, { core: { ...core, tick }, keepsTicks: true });
  }

  /** Pages of ticks of a run, 1 for the first. The run must have ended. */
  pages(run: number): Uint8Array[] {
    new FlashLog(this.rig).settle();
    return tickPagesIn(this.rig.flash.bytes).filter((page) => decodeTicksPage(page)!.run === run);
  }

  /** What is stored of a run. */
  pieces(run: number): Piece[] {
    return piecesOf(this.pages(run));
  }

  /**
   * The ticks of a run that are to be kept, as numbers in `made`: from the one after that in which arming began to the one in
   * which it is off, or for half a second after the last one that was armed; without any, after arming began.
   */
  numbersOf(run: number): number[] {
    const { made } = this;
    const begins = made.flatMap(({ mode }, n) =>
      mode === "arming" && made[n - 1]?.mode !== "arming" ? [n] : [],
    );
    const numbers: number[] = [];
    let afterUs = 0;
    for (let n = begins[run - 1] ?? made.length; n < made.length; n++) {
      const { mode, tick } = made[n]!;
      const us = Math.min(LONGEST_TICK_US, (tick.nowUs - made[n - 1]!.tick.nowUs) >>> 0);
      afterUs = mode === "armed" || mode === "flowing" ? 0 : afterUs + us;
      if (afterUs > AFTER_US) break;
      numbers.push(n);
      if (mode === "off" || mode === "service") break;
    }
    return numbers.slice(1);
  }
}

const AFTER_US = 500_000;
/** A longer time between two ticks does not count as passed. */
const LONGEST_TICK_US = 20_000;
