// Takes an exact stream of a run while it is made: looks at a core's memory before each tick, from arming to off.
import { LIVE } from "#shared-schema/link/columns.ts";
import { place } from "#shared-schema/model/layout.ts";
import { MODES } from "#shared-schema/model/modes.ts";
import { CORE_BYTES, type ExactRun } from "./stream.ts";
import { type Tick, tickIn } from "./tick.ts";

const MODE_AT = LIVE.address + place(LIVE).find(({ field }) => field.name === "mode")!.offset;
const ARMING = MODES.indexOf("arming");
const OVER = [MODES.indexOf("off"), MODES.indexOf("service")];

/** The first run of a core. Call `look` before every tick. */
export class Capture {
  private readonly coreCrc: number;
  private memory: Uint8Array | undefined;
  private readonly ticks: Tick[] = [];
  private over = false;

  constructor(coreCrc: number) {
    this.coreCrc = coreCrc;
  }

  /** `memory`: all of the core's, its inputs filled for the tick at `nowUs`. */
  look(memory: Uint8Array, nowUs: number): void {
    if (this.over) return;
    const mode = memory[MODE_AT]!;
    if (!this.memory && mode === ARMING) this.memory = memory.slice(0, CORE_BYTES);
    if (!this.memory) return;
    this.over = OVER.includes(mode);
    if (!this.over) this.ticks.push(tickIn(new DataView(memory.buffer, memory.byteOffset), nowUs));
  }

  /** The run so far; undefined when nothing armed. */
  get run(): ExactRun | undefined {
    return this.memory && { coreCrc: this.coreCrc, memory: this.memory, ticks: this.ticks };
  }
}
