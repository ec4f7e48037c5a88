// Changes of what ticks read: mostly small ones, now and then one by which something is wrong for a moment.
import type { Tick } from "#host/replay/exact/tick.ts";
import { ADC_A } from "#shared-schema/model/pins.ts";
import { fittedIn } from "../oracle/kept.ts";
import type { Settings } from "../oracle/settings.ts";
import { TURN_TICKS } from "../oracle/stand.ts";
import type { Random } from "./random.ts";

const FULL = 4095;
const PINS = [0, 1, 2, 3, 4, 5, 6, 7] as const;
const STAGES = [0, 1, 2, 3] as const;
const SENSORS = ["throttle", "manifold", "bottle", "fuel", "lambda", "coolant"] as const;
const [BATTERY, SUPPLY] = [ADC_A.indexOf("battery"), ADC_A.indexOf("driverSupply")];
const u32 = (value: number): number => value >>> 0;

/** Changes what ticks read: mostly a little, now and then so that something is wrong for a moment. */
export class Disturbance {
  private readonly random: Random;
  private readonly settings: Settings;
  private readonly fitted: ReadonlySet<(typeof ADC_A)[number]>;
  private badFor = 0;
  private pinsBefore = 0;
  private bad = 0;
  /** How seldom something is wrong. */
  private readonly calm: number;
  /** Every input that changes nothing is another one in every tick: pieces are full soon. */
  private readonly busy: boolean;

  constructor(random: Random, settings: Settings) {
    this.random = random;
    this.settings = settings;
    this.fitted = fittedIn(settings);
    this.busy = random.oneIn(2);
    this.calm = random.pick([1, 5, 20]);
  }

  private oneIn(n: number): boolean {
    return this.random.oneIn(n * this.calm);
  }

  /** Length of the next tick. */
  get us(): number {
    const { random } = this;
    return random.oneIn(40) ? random.pick([999, 1001, 1099, 1100, 1500, 5000, 20_000]) : 1000;
  }

  readonly change = (tick: Tick): void => {
    const { random } = this;
    ADC_A.forEach((name, n) => {
      const most = n === BATTERY || n === SUPPLY || this.oneIn(20) ? 30 : 2;
      const noise = random.oneIn(3) ? random.between(-most, most) : random.between(-1, 1);
      tick.adcA[n] = this.fitted.has(name) ? clipped(tick.adcA[n]! + noise) : this.anyCode();
    });
    if (!this.settings.road && (this.busy || random.oneIn(20))) this.anyTrain(tick.road);
    if (random.oneIn(5)) tick.engine.edgeUs = u32(tick.engine.edgeUs - random.below(4));
    for (const s of STAGES) if (random.oneIn(this.busy ? 2 : 50)) tick.phase[s] = random.below(20_000);
    this.seldom(tick);
    this.moment(tick);
    const fell = this.pinsBefore & ~tick.solenoidPins;
    for (const n of PINS) if ((fell >> n) & 1 && this.oneIn(3)) tick.adcB[n] = random.below(FULL + 1);
    this.pinsBefore = tick.solenoidPins;
  };

  private anyCode(): number {
    return this.busy || this.random.oneIn(20) ? this.random.below(FULL + 1) : 1000;
  }

  private anyTrain(train: Tick["road"]): void {
    const any = (): number => (this.random.oneIn(2) ? this.random.below(2 ** 32) : this.random.below(4));
    Object.assign(train, { pulses: any(), edgeUs: any(), periodUs: any() });
  }

  private seldom(tick: Tick): void {
    const { random } = this;
    if (this.oneIn(60)) tick.switches ^= 1 << random.between(2, 15);
    if (this.oneIn(400)) tick.armCuts = u32(tick.armCuts + 1);
    if (this.oneIn(200)) tick.adcMissing = random.below(2 ** 16);
    if (this.oneIn(100)) tick.adcRounds = random.below(2 ** 16);
    if (this.oneIn(100)) tick.solenoidPins ^= 1 << random.below(PINS.length);
    if (this.oneIn(30)) tick.adcB[random.below(PINS.length)] = random.below(FULL + 1);
    if (this.oneIn(100)) tick.adcA.fill(random.pick([0, tick.adcA[BATTERY]!, FULL]));
  }

  /** A sensor that cannot be believed for some ticks. */
  private moment(tick: Tick): void {
    const { random } = this;
    if (this.badFor === 0 && this.oneIn(100)) {
      this.badFor = random.between(1, TURN_TICKS);
      this.bad = ADC_A.indexOf(random.pick(SENSORS));
    }
    if (this.badFor === 0) return;
    this.badFor--;
    tick.adcA[this.bad] = random.pick([0, FULL]);
  }
}

const clipped = (code: number): number => Math.min(FULL, Math.max(0, code));
