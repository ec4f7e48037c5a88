// Two valves of a flowing stage, and what they make: the core gets any valve, voltage, frequency and share in the middle of a run.

import { PWM_STEP_US } from "#shared-schema/model/blocks.ts";
import { type Document, pack, toBytes } from "#shared-schema/settings/pack.ts";
import { wordAt } from "#shared-schema/settings/words.ts";
import { CoreMap, stateWord } from "../exploration/core-map.ts";
import type { Car } from "../oracle/car.ts";
import { openingUs, periodSteps } from "../oracle/pulse-model.ts";
import type { Settings, Solenoid } from "../oracle/settings.ts";
import { arm, FED_TICKS, smallSettings, standingCar, TURN_TICKS, ticks } from "../oracle/stand.ts";
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

/** A stage whose core flows at a steady place; each case is put into the core's memory as settings in force would be. */
export class FlowBench {
  readonly car: Car;
  private readonly words: Uint16Array;
  private readonly map: CoreMap;

  constructor() {
    const settings = smallSettings((s) => {
      s.windows = WINDOW;
      s.engine.lowSpeedAcknowledged = "yes";
      s.flow.longestRunMs = s.stages[0]!.longestMs = 30_000;
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
    for (const time of TIMES) {
      this.put(`stages.0.nitrousSolenoid.${time}`, nitrous[time]);
      this.put(`stages.0.fuelSolenoid.${time}`, fuel[time]);
    }
    const { words } = this.map;
    words[stateWord("periodSteps")] = periodSteps(frequencyHz);
    words[stateWord("runFlowedUs")] = words[this.map.ofStage(0, "flowedUs")] = 0;
    this.car.point.batteryMv = batteryMv;
    this.setShare(sharePermille);
    ticks(this.car, 2 * TURN_TICKS);
  }

  /** The ramp's points around its place, and what is asked for already. */
  private setShare(permille: number): void {
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

  /** Runs the pins' pulses through two valves that are shut at first; what each makes of the later half of so many periods. */
  make({ nitrous, fuel, frequencyHz }: FlowCase, periods: number): Made {
    const period = periodSteps(frequencyHz) * PWM_STEP_US;
    const [a, b] = ([nitrous, fuel] as const).map((solenoid, n) => {
      const valve = new Valve(
        { openingUs: openingUs(solenoid, this.batteryMv), closingUs: solenoid.closingUs },
        0,
      );
      const run = (from: number, to: number): number => {
        for (let i = from; i < to; i++) this.pulse(valve, n, i * period, period);
        valve.pass(to * period);
        return valve.flowedUs;
      };
      const before = run(0, periods / 2);
      return (run(periods / 2, periods) - before) / ((periods / 2) * period);
    });
    return { nitrous: a!, fuel: b! };
  }

  private pulse(valve: Valve, pin: number, fromUs: number, periodUs: number): void {
    const width = this.car.pin(pin) * PWM_STEP_US;
    valve.drive(width > 0, fromUs);
    if (width < periodUs) valve.drive(false, fromUs + width);
  }
}
