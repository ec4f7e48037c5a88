// The invariant of the controller, judged from raw inputs alone: it names every clause that a commanded nitrous output breaks.
import type { PinEdge } from "#host/bench/core/slice.ts";
import { Arming, type Claims } from "./arming.ts";
import { Conditions, engineSilentUs, TICK_SLACK_US } from "./conditions.ts";
import { DriverTries } from "./driver-try.ts";
import { FedTimes } from "./fed-times.ts";
import { LiftWatch } from "./lift-watch.ts";
import { Mixture } from "./mixture.ts";
import { batteryMv, isOn, type Raw } from "./raw.ts";
import type { Settings, Stage } from "./settings.ts";
import { SpeedWatch } from "./speed-watch.ts";
import { SupplyWatch } from "./supply-watch.ts";
import { TimedFaults } from "./timed-faults.ts";

const HELD_US = 20_000;
/** Ticks in a row after which an implausible sensor trips. */
const SENSOR_TICKS = 3;

/** What a tick commands: pulse widths that reach the pins in the order of `Outputs.pulse`, and what the mode then claims. */
export interface Commanded extends Claims {
  readonly pulse: readonly number[];
  /** What the solenoid pins did since the tick before, and one bit for each stage that flows from now on. */
  readonly edges: readonly PinEdge[];
  readonly runs: number;
}

function isFed(pulse: readonly number[]): boolean {
  return pulse.some((width, i) => i % 2 === 0 && width > 0);
}

/** The judge of one core. Where rounding or the length of a tick leave doubt, it takes the side of the core. */
export class Oracle {
  private readonly settings: Settings;
  private readonly arming = new Arming();
  private readonly conditions: Conditions;
  private readonly fed: FedTimes;
  private readonly faults: TimedFaults;
  private readonly tries: DriverTries;
  private readonly speed: SpeedWatch;
  private readonly lift: LiftWatch;
  private readonly supply = new SupplyWatch();
  private goodSinceUs: number | undefined;
  private trip: string | undefined;
  private badArmedTicks = 0;
  private before: Commanded = { pulse: [], edges: [], runs: 0, up: false, armed: false };
  private period = 0;
  private readonly mixture: Mixture;

  /** `nowUs`: the time before the first tick. */
  constructor(settings: Settings, nowUs: number) {
    this.mixture = new Mixture(settings, nowUs);
    this.settings = settings;
    this.conditions = new Conditions(settings);
    this.fed = new FedTimes(settings);
    this.faults = new TimedFaults(settings);
    this.tries = new DriverTries(settings);
    this.speed = new SpeedWatch(settings);
    this.lift = new LiftWatch(settings);
  }

  /** Judges one tick by its inputs; names the clauses that are broken, none when all is right. Lawful tries of drivers do not count. */
  judge(raw: Raw, all: Commanded): string[] {
    const commanded = { ...all, pulse: this.tries.rest(all.pulse, all) };
    this.arming.update(raw, this.before);
    this.conditions.update(raw);
    this.speed.update(raw);
    this.lift.update(raw, this.before.up);
    this.supply.update(raw, this.before.armed);
    if (this.arming.period !== this.period) this.fed.restart();
    this.period = this.arming.period;
    this.fed.update(raw, commanded.pulse);
    this.faults.update(raw, isFed(commanded.pulse), commanded.armed);
    this.updateTrip(raw);
    const good = this.conditions.system.length === 0;
    this.goodSinceUs = good ? (this.goodSinceUs ?? raw.nowUs) : undefined;
    this.before = commanded;
    const mixed = this.mixture.update(raw.nowUs, commanded.edges, batteryMv(raw), commanded.runs);
    const fedStages = this.settings.stages.filter((_, s) => (commanded.pulse[2 * s] ?? 0) > 0);
    return [...mixed, ...fedStages.flatMap((stage) => this.broken(raw, stage, commanded))];
  }

  private broken(raw: Raw, stage: Stage, { pulse }: Commanded): string[] {
    const s = this.settings.stages.indexOf(stage);
    const broken = [...this.conditions.system, ...this.conditions.stage(s), ...this.fed.broken(stage, s)];
    broken.push(...this.faults.broken);
    if (s === 0 && stage.follows) broken.push("follows nothing");
    if (engineSilentUs(raw) > TICK_SLACK_US) broken.push("engine pulses");
    broken.push(...this.supply.broken);
    if (this.lift.missing) broken.push("lift");
    if (this.speed.doubted) broken.push("engine speed doubted");
    if (!isOn(raw, "arm")) broken.push("arm switch");
    if (!this.arming.allows(raw.nowUs)) broken.push("arming");
    if (this.goodSinceUs === undefined || raw.nowUs - this.goodSinceUs < HELD_US - TICK_SLACK_US)
      broken.push("held");
    if (this.trip !== undefined) broken.push(`trip ${this.trip}`);
    if (stage.kind === "wet" && (pulse[2 * s + 1] ?? 0) === 0) broken.push("fuel");
    return broken;
  }

  private updateTrip(raw: Raw): void {
    if (this.arming.longOff) this.trip = undefined;
    this.badArmedTicks = this.before.armed && this.conditions.sensorBad ? this.badArmedTicks + 1 : 0;
    if (this.badArmedTicks >= SENSOR_TICKS) this.trip ??= "SENSOR";
    if (this.supply.trips) this.trip ??= "SUPPLY";
    if (this.before.armed && this.speed.stayed) this.trip ??= "RPM-JUMP";
    if (isFed(this.before.pulse) && engineSilentUs(raw) > TICK_SLACK_US) this.trip ??= "RPM-LOST";
  }
}
