// Replays a run from its records, a hundred a second: senders as the records say, everything else sound, through the real control core.
import type { MemoryFlash } from "#host/bench/core/flash.ts";
import { openConnectors } from "#host/bench/loop/connectors.ts";
import { RigController } from "#host/bench/loop/rig-controller.ts";
import { Senders } from "#host/bench/loop/senders.ts";
import { SWITCH_BITS, TICK_US } from "#shared-schema/model/blocks.ts";
import { MODES } from "#shared-schema/model/modes.ts";
import { STAGES } from "#shared-schema/model/pins.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import { MOST_TO_ARM, OFF_TICKS, TURNS, type Turn } from "./before-arming.ts";
import type { Recorded } from "./recorded.ts";
import type { Said } from "./said.ts";
import { type PulseRates, Track } from "./track.ts";

/** The turn in which a core writes down what it has measured. */
const NOTES_IN_TURN = 3;

const ARM = 1 << SWITCH_BITS.arm;
const ARMING = MODES.indexOf("arming");
/** What a replay needs: the core, flash with the settings that are to be tried, and those whose calibrations made the records. */
export interface RecordReplay {
  readonly module: WebAssembly.Module;
  readonly flash: MemoryFlash;
  readonly recordedWith: Document;
}

function ratesOf(settings: Document): PulseRates {
  const { engine, road } = settings as Record<string, Record<string, number> | undefined>;
  return {
    engineHzPerRpm: engine!.pulsesHalfPulses! / 120,
    roadHzPerKmh: (road?.pulsesPerKm ?? 0) / 3600,
  };
}

/** How many ticks before a tick values were last written down, when a run begins in `turn`. */
const lagOf =
  (turn: Turn) =>
  (tick: number): number =>
    (turn + Math.floor(tick) - 1 + TURNS.length - NOTES_IN_TURN) % TURNS.length;

/** The switches in each tick: those of a record hold from the record before it on, for in between they changed. */
function* switchesOf(records: readonly Recorded[]): Generator<number, never> {
  let next = 1;
  for (let tick = 1; ; tick++) {
    while (next < records.length - 1 && middle(records, next) < tick) next++;
    const before = records[next - 1]!.switches;
    yield next < records.length && middle(records, next) <= tick ? records[next]!.switches : before;
  }
}

const middle = (records: readonly Recorded[], n: number): number =>
  (records[n - 1]!.tick + records[n]!.tick + 1) / 2;

/** A controller that is off as it was before the run, and arms so that its first tick of arming has this turn. */
class Armed {
  readonly controller: RigController;
  readonly connectors = openConnectors();
  private readonly senders: Senders;
  private readonly track: Track;

  constructor({ module, flash, recordedWith }: RecordReplay, records: readonly Recorded[], turn: Turn) {
    this.senders = new Senders(recordedWith);
    this.track = new Track(records, ratesOf(recordedWith), lagOf(turn));
    this.controller = new RigController(module, flash, { keepsEdges: false, before: turn });
  }

  step(tick: number, switches: number): void {
    this.senders.put(this.track.at(tick), this.connectors);
    this.connectors.switches = switches;
    this.controller.run(this.connectors, TICK_US);
  }

  /** Runs up to and with the first tick of arming. Throws when it does not arm, which settings in force always do. */
  arm(switches: number): void {
    for (let i = 0; i < OFF_TICKS; i++) this.step(1, switches & ~ARM);
    for (let i = 0; i < MOST_TO_ARM; i++) {
      this.step(1, switches | ARM);
      if (this.controller.mode === ARMING) return;
    }
    throw new Error("the core does not begin to arm");
  }

  said(tick: number): Said {
    const { mode, trip, reasons } = this.controller;
    const shares = Array.from({ length: STAGES }, (_, s) => this.controller.sharePermille(s));
    return { tick, mode, trip, reasons: reasons >>> 0, shares };
  }
}

/** Does a run begin with its arming, as a replay needs it? */
export const beginsWithArming = (records: readonly Recorded[]): boolean =>
  records[0]?.mode === ARMING && records[0].tick === 1;

/** What the controller says in the tick of each record, when a run begins in `turn`. The run must begin with its arming. */
export function replayRecords(replay: RecordReplay, records: readonly Recorded[], turn: Turn): Said[] {
  const armed = new Armed(replay, records, turn);
  const switches = switchesOf(records);
  armed.arm(records[0]!.switches);
  switches.next();
  const said = [armed.said(1)];
  for (let tick = 2; said.length < records.length; tick++) {
    armed.step(tick, switches.next().value);
    while (said.length < records.length && records[said.length]!.tick <= tick) said.push(armed.said(tick));
  }
  return said;
}
