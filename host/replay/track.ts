// What records say of the senders between two of them: everything measured moves in a straight line, switches in one tick.
import type { Measured } from "#host/bench/loop/senders.ts";
import type { Recorded } from "./recorded.ts";

const KMH_PER_MS = 3.6;
/** Pulses a second at one engine or road speed unit, by the settings' senders. */
export interface PulseRates {
  readonly engineHzPerRpm: number;
  readonly roadHzPerKmh: number;
}

/** How many ticks ago a speed was what it is said to be: the time between two pulses, at most what counts as standing. */
function pulseTicks(hz: number): number {
  return hz > 1 ? 1000 / hz : 0;
}

/** One measured quantity over time, read with rising ticks. */
class Line {
  private at = 0;
  private readonly points: readonly (readonly [tick: number, value: number])[];

  constructor(points: readonly (readonly [number, number])[]) {
    this.points = points;
  }

  value(tick: number): number {
    const { points } = this;
    while (this.at < points.length - 2 && points[this.at + 1]![0] <= tick) this.at++;
    const [from, to] = [points[this.at]!, points[this.at + 1] ?? points[this.at]!];
    const share = to[0] > from[0] ? Math.min(1, Math.max(0, (tick - from[0]) / (to[0] - from[0]))) : 1;
    return from[1] + share * (to[1] - from[1]);
  }
}

/** The senders of a recorded run. `lag`: so many ticks before a record its values were measured, by its number. */
export class Track {
  private readonly engine: Line;
  private readonly road: Line;
  private readonly throttle: Line;
  private readonly manifold: Line;
  private readonly bottle: Line;
  private readonly fuel: Line;
  private readonly lambda: Line;
  private readonly battery: Line;

  constructor(
    records: readonly Recorded[],
    { engineHzPerRpm, roadHzPerKmh }: PulseRates,
    lag: (tick: number) => number,
  ) {
    const line = (of: (record: Recorded) => number, hzPer = 0): Line =>
      new Line(
        records.map((record) => {
          const value = of(record);
          return [record.tick - lag(record.tick) - pulseTicks(value * hzPer), value] as const;
        }),
      );
    this.engine = line(({ engineRpm }) => engineRpm, engineHzPerRpm);
    this.road = line(({ roadKmh }) => roadKmh, roadHzPerKmh);
    this.throttle = line(({ throttle }) => throttle);
    this.manifold = line(({ manifoldPa }) => manifoldPa);
    this.bottle = line(({ bottlePa }) => bottlePa);
    this.fuel = line(({ fuelPa }) => fuelPa);
    this.lambda = line(({ lambda }) => lambda);
    this.battery = line(({ batteryV }) => batteryV);
  }

  /** What the senders measure in a tick. Ticks never fall. */
  at(tick: number): Measured {
    const speedMS = this.road.value(tick) / KMH_PER_MS;
    return {
      engineRpm: this.engine.value(tick),
      speedMS,
      wheelMS: speedMS,
      pedal: this.throttle.value(tick),
      manifoldPa: this.manifold.value(tick),
      bottlePa: this.bottle.value(tick),
      fuelPa: this.fuel.value(tick),
      lambda: this.lambda.value(tick),
      batteryV: this.battery.value(tick),
    };
  }
}
