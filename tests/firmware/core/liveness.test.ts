// Given good inputs, right settings do flow: in time, with the shares of the plain model, and with the pulses that belong to them.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { Car } from "../../oracle/car.ts";
import { Device } from "../../oracle/device.ts";
import { operatingPoint } from "../../oracle/operating-point.ts";
import { periodSteps, stagePulses } from "../../oracle/pulse-model.ts";
import { batteryMv, type Raw } from "../../oracle/raw.ts";
import { rightDocument } from "../../oracle/right-documents.ts";
import { limitsOf, type Settings, type Stage } from "../../oracle/settings.ts";
import { type Band, LaunchModel, ShareModel } from "../../oracle/share-model.ts";
import { arm, modeOf, SETTLING_TICKS, TURN_TICKS, ticksToFlow } from "../../oracle/stand.ts";
import { freshCore } from "../../support/core.ts";
import { runs } from "../../support/effort.ts";
import { Random } from "../../support/random.ts";

const seed = fc.integer({ min: 1, max: 2 ** 31 - 1 });
const RUN_TICKS = 400;

/** Slowest pulses that count as a speed, microseconds between two. */
const STILL_US = 1_000_000;
/** After so many periods in which one pulse each would do, nothing else is made. */
const SETTLED_PERIODS = 4;
/** Opening times are those of the supply as it was last seen while the coils drew: so long ago at most, two periods of 8 Hz. */
const LAST_DRAWN_TICKS = 250;
/** A pattern of more periods is kept until one pulse each has a thirty-second of a period to spare; permille, and one for rounding. */
const SPARE = 33;
/** A gear must be this wide for whole units of both speeds to stay inside it. */
const NARROW_PERMILLE = 15;

interface Run {
  readonly random: Random;
  readonly settings: Settings;
  readonly car: Car;
  readonly stage: number;
}

/** Takes away what delays a stage by design, and what judges how the senders move; both have tests of their own. */
function withoutWaiting(settings: Settings): void {
  delete settings.retard;
  delete settings.engine.jump;
  delete settings.lambda;
  for (const stage of settings.stages) {
    delete stage.follows;
    delete stage.delay;
  }
}

/** A random car, armed, at a place where the chosen stage may flow. Undefined when its windows have none. */
function armedCar(s: number): Run | undefined {
  const random = new Random(s);
  const { settings, words } = rightDocument(random, withoutWaiting);
  const { point, stage, insideStage } = operatingPoint(random, settings);
  const roadUs = 3.6e10 / (point.deciKmh * (settings.road?.pulsesPerKm ?? 1));
  const narrow = (settings.gearbox?.tolerancePermille ?? 1000) < NARROW_PERMILLE;
  if (!insideStage || narrow || (settings.road && roadUs > STILL_US)) return undefined;
  const rig = freshCore();
  rig.start();
  new Device(rig).store(words);
  const car = new Car(rig, settings, point, 2 ** 32 - random.below(2_000_000));
  car.set("launch", settings.launch?.startsAt === "release");
  arm(car);
  expect(modeOf(car)).toBe("armed");
  return { random, settings, car, stage };
}

/** Moves the senders a little, inside what they stood at, so that every axis is run over. */
function drift({ random, car, settings, stage }: Run): void {
  const { point } = car;
  const windows = [settings.windows, settings.stages[stage]!].map((w) => limitsOf(w, "engineSpeed"));
  const most = Math.min(...windows.map((w) => w?.close ?? 15_000)) - 5;
  if (!settings.gearbox) point.rpm = Math.min(most, point.rpm + random.between(0, 2));
  point.batteryMv = Math.min(
    15_000,
    Math.max(settings.battery.lowestMv + 20, point.batteryMv + random.between(-10, 10)),
  );
}

/** What agrees with the model, given that a stage opens and moves on once in its turn, by what it may rise in the time of one. */
class Lately {
  private readonly models: readonly ShareModel[];
  private readonly turnRise: number;
  private readonly bands: Band[] = [{ lo: 0, hi: 0 }];
  private readonly batteries: number[] = [];
  private ticks = 0;
  private pulsed = 0;

  constructor(settings: Settings, stage: number) {
    this.models = [new ShareModel(settings, stage), new ShareModel(settings, stage)];
    this.turnRise = (settings.flow.riseLimitPercentPerS * TURN_TICKS) / 100;
  }

  step(raw: Raw, launchMs: number | undefined): void {
    const { models } = this;
    this.ticks++;
    for (const [i, model] of models.entries())
      model.step(raw, 1000, { openMs: this.ticks + i * TURN_TICKS, launchMs });
    const most = models.map((model) => Math.min(model.allowed, model.band.hi + this.turnRise));
    this.bands.unshift({ lo: Math.min(...models.map((model) => model.band.lo)), hi: Math.max(...most) });
    this.batteries.unshift(batteryMv(raw));
    this.bands.length = Math.min(this.bands.length, 2 * TURN_TICKS + 2);
    this.batteries.length = Math.min(this.batteries.length, LAST_DRAWN_TICKS);
  }

  /** Least and most share, permille, that agrees within one unit. */
  get shares(): [number, number] {
    return [Math.min(...this.bands.map((b) => b.lo)) - 1, Math.max(...this.bands.map((b) => b.hi)) + 1];
  }

  shareAgrees(share: number): boolean {
    return share >= this.shares[0] && share <= this.shares[1];
  }

  /** Do both pulses lie where the shares of the model put them, within four steps? Judged where a pulse in each period makes all of them. */
  pulsesAgree(car: Car, s: number, period: number, stage: Stage): boolean {
    const voltages = [Math.min(...this.batteries), Math.max(...this.batteries)];
    const places = voltages.flatMap((mv) => this.shares.map((share) => ({ mv, share })));
    const pairs = places.map(({ mv, share }) => stagePulses(share, period, stage, mv));
    const [less, more] = [-SPARE, SPARE].map((by) =>
      places.map(({ mv, share }) => stagePulses(share + by, period, stage, mv)[0]),
    );
    const spareSteps = (2 * SPARE * period) / 1000;
    const isPulsed = places.every(
      (_, i) => less![i]! > 0 && more![i]! - less![i]! > spareSteps - 1 && more![i]! < period,
    );
    this.pulsed = isPulsed ? this.pulsed + 1 : 0;
    if (this.pulsed < SETTLED_PERIODS * ((2 * period) / 1000)) return true;
    return ([0, 1] as const).every((i) => {
      const widths = pairs.map((pair) => pair[i]);
      return car.pin(2 * s + i) >= Math.min(...widths) - 4 && car.pin(2 * s + i) <= Math.max(...widths) + 4;
    });
  }
}

describe("a car with everything as it must be", () => {
  let compared = 0;
  let fed = 0;

  test.prop([seed], runs(150))("opens in time, follows the ramps and pulses as the model does", (s) => {
    const run = armedCar(s);
    if (!run) return;
    const { car, settings, stage } = run;
    const own = settings.stages[stage]!;
    const launch = new LaunchModel(settings);
    const period = periodSteps(settings.flow.frequencyHz);
    launch.step(car.raw);
    const lately = new Lately(settings, stage);
    expect(ticksToFlow(car, SETTLING_TICKS - 1)).toBeUndefined();
    for (let i = 1; i < Math.min(RUN_TICKS, own.longestMs); i++) {
      if (i === 100) car.set("launch", settings.launch?.startsAt === "press");
      drift(run);
      car.tick();
      lately.step(car.raw, launch.step(car.raw));
      const share = car.sharePermille(stage);
      const right =
        lately.shareAgrees(share) && lately.pulsesAgree(car, stage, period, own) && car.trip === 255;
      if (!right) expect({ tick: i, share, pins: car.pins(), trip: car.trip }).toEqual(lately.shares);
      compared++;
      if (car.fed(stage)) fed++;
    }
    expect(car.top).toBe(period - 1);
  });

  test("the property has looked at fed stages", () => {
    process.stdout.write(`liveness: ${compared} ticks compared, ${fed} of them fed\n`);
    expect(fed).toBeGreaterThan(compared / 4);
  });
});
