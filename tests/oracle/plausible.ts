// Whether the analog sensors that are set up are believable; leans to "believable" by one code at the limits.
import { ADC_A } from "#shared-schema/model/pins.ts";
import { type AnalogName, channelMv, type Raw } from "./raw.ts";
import type { Settings } from "./settings.ts";

/** One code is 1.22 mV; an integer millivolt may be off by one more. */
const ROUNDING_MV = 2.3;
const STALE_TICKS = 4;

interface Checked {
  readonly channel: AnalogName;
  readonly low: number;
  readonly high: number;
  /** Ticks in a row in which it was surely not believable. */
  badTicks: number;
}

/** Pressure, mixture and temperature change slowly: each of these is looked at every fourth tick. */
const SLOW: readonly AnalogName[] = ["bottle", "fuel", "lambda", "coolant"];
/** Ticks after which a slow sensor has surely been looked at. */
export const TURN_TICKS = 4;

function checkedSensors({ throttle, manifold, bottle, fuel, lambda, coolant }: Settings): Checked[] {
  const all = { throttle: throttle.position, manifold, bottle, fuel, lambda, coolant };
  return Object.entries(all).flatMap(([name, sensor]) =>
    sensor
      ? [
          {
            channel: name as AnalogName,
            low: sensor.plausibleLowMv,
            high: sensor.plausibleHighMv,
            badTicks: 0,
          },
        ]
      : [],
  );
}

/** Follows the sensors that are set up, and the battery voltage, which always is. */
export class Plausible {
  /** Is a needed sensor surely not believable in this tick? */
  bad = false;
  /** Are all needed sensors and both converters surely believed in this tick? */
  good = false;
  /** Is a converter surely without live values? */
  dead = false;
  private readonly checked: readonly Checked[];
  private rounds: number | undefined;
  private sameRounds = 0;

  constructor(settings: Settings) {
    this.checked = checkedSensors(settings);
  }

  update(raw: Raw): void {
    this.sameRounds = raw.adcRounds === this.rounds ? this.sameRounds + 1 : 0;
    this.rounds = raw.adcRounds;
    this.dead = this.sameRounds >= STALE_TICKS || raw.adcMissing !== 0 || isOnePattern(raw);
    this.bad = this.dead || this.checked.filter((sensor) => surelySeenBad(sensor, raw)).length > 0;
    this.good =
      this.sameRounds === 0 &&
      !this.dead &&
      this.checked.every((sensor) => isGood(sensor, channelMv(raw, sensor.channel)));
  }
}

/** Do all channels of the first converter show the same code? Battery and sensors never do while it is alive. */
function isOnePattern({ adcA }: Raw): boolean {
  return adcA.every((code) => code === adcA[0]);
}

function isGood({ low, high }: Checked, mv: number): boolean {
  return mv > low + ROUNDING_MV && mv < high - ROUNDING_MV;
}

function isMissing(raw: Raw, channel: AnalogName): boolean {
  return ((raw.adcMissing >>> ADC_A.indexOf(channel)) & 1) === 1;
}

function surelySeenBad(sensor: Checked, raw: Raw): boolean {
  sensor.badTicks = isBad(sensor, raw) ? sensor.badTicks + 1 : 0;
  return sensor.badTicks >= (SLOW.includes(sensor.channel) ? TURN_TICKS : 1);
}

function isBad({ channel, low, high }: Checked, raw: Raw): boolean {
  const value = channelMv(raw, channel);
  return isMissing(raw, channel) || value < low - ROUNDING_MV || value > high + ROUNDING_MV;
}
