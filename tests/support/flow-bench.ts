// Two valves of a flowing stage, and what they make: the core gets any valve, voltage, frequency and share in the middle of a run.

import type { PinEdge } from "#host/bench/core/slice.ts";
import { PWM_STEP_US } from "#shared-schema/model/blocks.ts";
import { type Document, pack, toBytes } from "#shared-schema/settings/pack.ts";
import { wordAt } from "#shared-schema/settings/words.ts";
import { CoreMap, stateWord } from "../exploration/core-map.ts";
import type { Car } from "../oracle/car.ts";
import { longestPattern, openingUs, periodSteps } from "../oracle/pulse-model.ts";
import type { Settings, Solenoid } from "../oracle/settings.ts";
import { arm, FED_TICKS, smallSettings, standingCar, ticks } from "../oracle/stand.ts";
import { Valve } from "../oracle/valve.ts";

/** Everything that decides what a stage makes. */
export interface FlowCase {
  readonly nitrous: Solenoid;
  readonly fuel: Solenoid;
  readonly frequencyHz: number;
  readonly batteryMv: number;
  readonly sharePermille: number;
}

/** What flowed in a stretch of time, as parts of it. */
export interface Made {
  readonly nitrous: number;
  readonly fuel: number;
}

const TIMES = ["opening10VUs", "opening12VUs", "opening14VUs", "closingUs"] as const;
const WINDOW: Settings["windows"] = { engineSpeed: { openRpm: 3000, closeRpm: 3300, hysteresisRpm: 50 } };
/** Ticks as long as a board may make them, so that many cases take little time. */
const TICK_US = 10_000;
/** The longest pattern of the case before, and one to begin with. */
const SETTLING_PERIODS = 4;
/** Periods after which any pattern of up to so many begins anew. */
const WHOLE = [0, 1, 2, 6] as const;

/** A stage whose core flows at a steady place; each case is put into the core's memory as settings in force would be. */
export class FlowBench {
  readonly car: Car;
  private readonly words: Uint16Array;
  private readonly map: CoreMap;

  constructor(change: (settings: Settings) => void = () => {}) {
    const settings = smallSettings((s) => {
      s.windows = WINDOW;
      s.engine.lowSpeedAcknowledged = "yes";
      s.flow.longestRunMs = s.stages[0]!.longestMs = 30_000;
      change(s);
    });
    this.car = arm(standingCar(settings, { rpm: 3150 }));
    ticks(this.car, FED_TICKS);
    const block = toBytes(pack(settings as unknown as Document));
    this.map = new CoreMap(this.car.rig, block, this.car.raw.engine.count);
    const memory = Buffer.from(this.car.rig.core.memory.buffer);
    this.words = new Uint16Array(memory.buffer, memory.indexOf(block, stateWord("nowUs") * 4));
  }

  private put(path: string, value: number): void {
    this.words[wordAt(path).index] = value;
  }

  /** Puts a case into force and lets it settle. */
  set({ nitrous, fuel, frequencyHz, batteryMv, sharePermille }: FlowCase): void {
    this.car.point.batteryMv = batteryMv;
    this.car.tick(TICK_US);
    for (const time of TIMES) {
      this.put(`stages.0.nitrousSolenoid.${time}`, nitrous[time]);
      this.put(`stages.0.fuelSolenoid.${time}`, fuel[time]);
    }
    const { words } = this.map;
    words[stateWord("periodSteps")] = periodSteps(frequencyHz);
    words[stateWord("patternPeriods")] = longestPattern(frequencyHz);
    words[stateWord("runFlowedUs")] = words[this.map.ofStage(0, "flowedUs")] = 0;
    // What stays open does so for whole periods of another length than before.
    words[this.map.ofStage(0, "wasOpen")] = 0;
    // Its long ticks may miss every pulse in which the supply is looked at.
    words[this.map.ofStage(0, "drawnMv")] = this.batteryMv;
    this.rest();
    this.share = sharePermille;
    this.run(SETTLING_PERIODS * (1e6 / frequencyHz));
  }

  /** As if the stage had been shut for long: what it waits for after a cut is over. */
  rest(): void {
    this.map.words[this.map.ofStage(0, "wasShut")] = 0;
  }

  /** The ramp's points around its place, and what is asked for already. */
  set share(permille: number) {
    const { words } = this.map;
    const point = words[this.map.ofStage(0, "firstFound")]!;
    const memory = new Uint16Array(words.buffer);
    memory[(point >> 1) + 1] = memory[(point >> 1) + 3] = permille;
    words[this.map.ofStage(0, "askedX32")] = permille << 5;
  }

  /** Voltage by which the core works out opening times now. */
  get batteryMv(): number {
    return this.map.words[stateWord("batteryMv")]!;
  }

  /** How the share is made: periods of the pattern that is wanted, 4 where both valves stay open. */
  get periods(): number {
    return this.map.words[this.map.ofStage(0, "wanted")]!;
  }

  /** Lets some time go by; returns what the pins of the stage did. */
  private run(us: number): PinEdge[] {
    const edges: PinEdge[] = [];
    for (const endUs = this.car.raw.nowUs + us; this.car.raw.nowUs < endUs; ) {
      this.car.tick(TICK_US);
      for (const edge of this.car.edges) if (edge.pin < 2) edges.push(edge);
    }
    return edges;
  }

  /** Runs both pins' edges through two valves, over a whole number of patterns after as many in which the valves get into step. */
  make({ nitrous, fuel, frequencyHz }: FlowCase): Made {
    const startUs = this.car.raw.nowUs;
    const high = [this.car.level(0), this.car.level(1)];
    const wholeUs = WHOLE[longestPattern(frequencyHz)]! * periodSteps(frequencyHz) * PWM_STEP_US;
    const edges = this.run(2 * wholeUs);
    const made = [nitrous, fuel].map((solenoid, n) => {
      const openUs = openingUs(solenoid, this.batteryMv);
      const valve = new Valve({ openingUs: openUs, closingUs: solenoid.closingUs }, startUs - 1e6);
      valve.drive(high[n]!, startUs - 1e6);
      const flowed = [startUs + wholeUs, startUs + 2 * wholeUs].map((untilUs) => {
        while (edges.length > 0) {
          const next = edges.find(({ pin }) => pin === n);
          if (!next || next.us > untilUs) break;
          edges.splice(edges.indexOf(next), 1);
          valve.drive(next.level, next.us);
        }
        valve.pass(untilUs);
        return valve.flowedUs;
      });
      return (flowed[1]! - flowed[0]!) / wholeUs;
    });
    return { nitrous: made[0]!, fuel: made[1]! };
  }
}
