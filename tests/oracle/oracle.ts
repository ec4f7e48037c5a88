// The invariant of the controller, judged from raw inputs alone: it names every clause that a commanded nitrous output breaks.
import type { PinEdge } from "#host/bench/core/slice.ts";
import { OUTPUT_BITS } from "#shared-schema/model/blocks.ts";
import { Arming } from "./arming.ts";
import { Conditions, engineSilentUs, TICK_SLACK_US } from "./conditions.ts";
import { DriverTries } from "./driver-try.ts";
import { FedTimes } from "./fed-times.ts";
import { HoldWatch } from "./hold-watch.ts";
import { Latches } from "./latches.ts";
import { LiftWatch } from "./lift-watch.ts";
import { Mixture } from "./mixture.ts";
import { isOn, type Raw } from "./raw.ts";
import { SelfTest, supplyMv } from "./self-test.ts";
import type { Settings, Stage } from "./settings.ts";
import { SpeedWatch } from "./speed-watch.ts";
import { SupplyWatch } from "./supply-watch.ts";
import { TimedFaults } from "./timed-faults.ts";

const HELD_US = 20_000;
/** Ticks in a row after which an implausible sensor trips. */
const SENSOR_TICKS = 3;

/** The core's self-test begins before its keep-alive: a few ticks, one of them as late as the watchdog allows. */
const TEST_BEGINS_US = 60_000;
/** So often it stops the keep-alive in a test. */
const STOPS = 2;
/** By its pins it is surely armed when it seems so for this long: by then each driver has been tried, thrice where it must be. */
const SURELY_ARMED_US = 200_000;

/** Limits of time by the rows of the catalogue that they are. */
const LIMITS: Readonly<Record<string, string>> = { time: "TIME", enrichment: "ENRICH" };

/** What a tick commands: pulse widths that reach the pins in the order of `Outputs.pulse`, and the other outputs. */
export interface Commanded {
  readonly pulse: readonly number[];
  /** What the solenoid pins did since the tick before, and one bit for each stage that flows from now on. */
  readonly edges: readonly PinEdge[];
  readonly runs: number;
  readonly flags: number;
}

function isFed(pulse: readonly number[]): boolean {
  return pulse.some((width, i) => i % 2 === 0 && width > 0);
}

function keepsAlive({ flags }: Commanded): boolean {
  return (flags & (1 << OUTPUT_BITS.keepAlive)) !== 0;
}

/** The judge of one core. Where rounding or the length of a tick leave doubt, it takes the side of the core. */
export class Oracle {
  private readonly settings: Settings;
  private readonly arming = new Arming(TEST_BEGINS_US);
  private readonly test = new SelfTest(STOPS);
  private readonly latches: Latches;
  private readonly conditions: Conditions;
  private readonly fed: FedTimes;
  private readonly faults: TimedFaults;
  private readonly tries: DriverTries;
  private readonly speed: SpeedWatch;
  private readonly lift: LiftWatch;
  private readonly supply = new SupplyWatch();
  private readonly holds: HoldWatch;
  private goodSinceUs: number | undefined;
  private badArmedTicks = 0;
  private beforeUs: number | undefined;
  private before: Commanded = { pulse: [], edges: [], runs: 0, flags: 0 };
  private period = 0;
  private readonly mixture: Mixture;

  /** `nowUs`: the time before the first tick. */
  constructor(settings: Settings, nowUs: number) {
    this.mixture = new Mixture(settings, nowUs);
    this.settings = settings;
    this.latches = new Latches(settings);
    this.conditions = new Conditions(settings);
    this.fed = new FedTimes(settings);
    this.faults = new TimedFaults(settings);
    this.tries = new DriverTries(settings);
    this.speed = new SpeedWatch(settings);
    this.lift = new LiftWatch(settings);
    this.holds = new HoldWatch(settings);
  }

  /** Judges one tick by its inputs; names the clauses that are broken, none when all is right. Lawful tries of drivers do not count. */
  judge(raw: Raw, all: Commanded): string[] {
    const us = raw.nowUs - (this.beforeUs ?? raw.nowUs);
    this.beforeUs = raw.nowUs;
    this.test.update(raw, us, keepsAlive(this.before));
    this.arming.update(raw, this.test);
    const tried = { up: this.test.up, armed: this.test.armedForUs > SURELY_ARMED_US };
    this.conditions.update(raw, this.test.armed);
    const commanded = { ...all, pulse: this.tries.rest(all.pulse, tried, this.conditions.converterDead) };
    this.speed.update(raw);
    this.lift.update(raw, this.test.up);
    this.holds.update(raw, {
      ...{ armed: this.test.armed, fed: isFed(this.before.pulse) },
      stopped: this.stoppedBy(raw),
    });
    this.supply.update(raw, this.surelyArmed(raw));
    if (this.arming.period !== this.period) this.fed.restart();
    this.period = this.arming.period;
    this.fed.update(raw, commanded.pulse);
    this.faults.update(raw, isFed(commanded.pulse), this.test.armed);
    this.updateLatches(raw, us);
    const good = this.conditions.system.length === 0;
    this.goodSinceUs = good ? (this.goodSinceUs ?? raw.nowUs) : undefined;
    this.before = commanded;
    return [
      ...this.mixture.update(raw.nowUs, commanded.edges, supplyMv(raw), commanded.runs),
      ...this.kept(commanded),
      ...this.fedStages(commanded).flatMap((s) => this.broken(raw, s, commanded)),
    ];
  }

  private fedStages({ pulse }: Commanded): Stage[] {
    return this.settings.stages.filter((_, s) => (pulse[2 * s] ?? 0) > 0);
  }

  /** What has tripped or is locked out holds every output off, the relay too. */
  private kept(commanded: Commanded): string[] {
    const { latched } = this.latches;
    if (latched === undefined) return [];
    return keepsAlive(commanded) || commanded.pulse.some((width) => width > 0) ? [`trip ${latched}`] : [];
  }

  private broken(raw: Raw, stage: Stage, { pulse }: Commanded): string[] {
    const s = this.settings.stages.indexOf(stage);
    const broken = [...this.conditions.system, ...this.conditions.stage(s), ...this.fed.broken(stage, s)];
    broken.push(...this.faults.broken);
    if (s === 0 && stage.follows) broken.push("follows nothing");
    if (engineSilentUs(raw) > TICK_SLACK_US) broken.push("engine pulses");
    broken.push(...this.supply.broken, ...this.holds.broken);
    if (this.lift.missing) broken.push("lift");
    if (this.speed.doubted) broken.push("engine speed doubted");
    if (!isOn(raw, "arm")) broken.push("arm switch");
    if (!this.arming.allows(raw.nowUs)) broken.push("arming");
    if (this.goodSinceUs === undefined || raw.nowUs - this.goodSinceUs < HELD_US - TICK_SLACK_US)
      broken.push("held");
    if (stage.kind === "wet" && (pulse[2 * s + 1] ?? 0) === 0) broken.push("fuel");
    return broken;
  }

  /** What surely stops every flow in this tick, whatever is held off besides. */
  private stoppedBy(raw: Raw): string[] {
    const { conditions, speed } = this;
    const stopped = [...conditions.system];
    if (!isOn(raw, "arm")) stopped.push("arm switch");
    if (speed.doubted) stopped.push("engine speed doubted");
    if (engineSilentUs(raw) > 0) stopped.push("engine pulses");
    return stopped;
  }

  private surelyArmed(raw: Raw): boolean {
    return keepsAlive(this.before) && this.test.armedForUs > SURELY_ARMED_US && isOn(raw, "arm");
  }

  private updateLatches(raw: Raw, us: number): void {
    const { latches, conditions, before } = this;
    if (this.arming.longOff) latches.cycled();
    const armed = this.surelyArmed(raw);
    latches.update({ raw, us, armed, believed: conditions.sensorsGood, ...before });
    this.badArmedTicks = armed && conditions.sensorBad ? this.badArmedTicks + 1 : 0;
    if (this.badArmedTicks >= SENSOR_TICKS) latches.latch(conditions.converterDead ? "ADC" : "SENSOR");
    const late = this.fedStages(before).flatMap((stage) =>
      this.fed.broken(stage, this.settings.stages.indexOf(stage)),
    );
    for (const limit of late) latches.latch(LIMITS[limit]!);
    if (this.supply.trips) latches.latch("SUPPLY");
    for (const row of this.holds.trips) latches.latch(row);
    if (armed && this.speed.stayed) latches.latch("RPM-JUMP");
    if (isFed(before.pulse) && engineSilentUs(raw) > TICK_SLACK_US) latches.latch("RPM-LOST");
  }
}
