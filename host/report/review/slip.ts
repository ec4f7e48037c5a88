// Wheelspin where a log can show it: the road speed comes from an undriven wheel, and the car file has gears and tyres.
import type { CarData } from "#host/car/car.ts";
import type { LogSample } from "#host/logbook/sample.ts";
import { spansOf } from "#host/logbook/spans.ts";
import { MODES } from "#shared-schema/model/interlocks.ts";
import type { Reviewed } from "./reviewed.ts";

/** The most slip while a stage flowed: surplus of the driven wheels' speed as a share of the road speed, and its time in the log. */
export interface MostSlip {
  readonly slip: number;
  readonly atS: number;
}

const FLOWING = MODES.indexOf("flowing");
const KMH = 3.6;
/** So long after an opening, and before a shut, is left out, s: a gear change, and with it the clutch, may be under way. */
export const AFTER_OPENING_S = 0.5;
export const BEFORE_SHUT_S = 0.1;
/** Slower than this the sender's pulses come too seldom for a ratio. */
const LEAST_KMH = 30;
/** A gear whose wheels would turn slower than the car rolls by more than this is another gear. */
const NEGATIVE = -0.03;

/** Speed of the driven wheels' tread in a gear with the clutch closed, m/s. */
const wheelMS = ({ tyreRadiusM, finalDrive }: CarData, gear: number, rpm: number): number =>
  (rpm / 60) * 2 * Math.PI * (tyreRadiusM / (gear * finalDrive));

/** A gear, from 1, and the slip of the driven wheels in it. */
interface InGear {
  readonly gear: number;
  readonly slip: number;
}

/** The gear that needs the least slip; undefined where no gear fits. */
function inGear(car: CarData, { engineSpeed = 0, roadSpeed = 0 }: LogSample): InGear | undefined {
  const all = car.gears.map((ratio, i) => ({
    gear: i + 1,
    slip: wheelMS(car, ratio, engineSpeed) / (roadSpeed / KMH) - 1,
  }));
  return all.filter(({ slip }) => slip >= NEGATIVE).sort((a, b) => a.slip - b.slip)[0];
}

/** So long a gear must fit without a break before it is said to be engaged, s. */
const ENGAGED_S = 0.25;

/** Changes to a higher gear that engine and road speed show, with the time in the log at which each was engaged; none without the car file. */
export function gearChanges({ samples, car }: Reviewed): { readonly atS: number; readonly gear: number }[] {
  if (!car) return [];
  const fast = samples.filter(({ roadSpeed = 0 }) => roadSpeed >= LEAST_KMH);
  const gears = fast.map((sample) => ({ atS: sample.time!, gear: inGear(car.data, sample)?.gear }));
  const begun = gears.filter(({ gear }, i) => gear !== gears[i - 1]?.gear);
  const engaged = begun.flatMap(({ atS, gear }, i) =>
    gear !== undefined && (begun[i + 1]?.atS ?? Number.POSITIVE_INFINITY) - atS >= ENGAGED_S
      ? [{ atS, gear }]
      : [],
  );
  return engaged.filter(({ gear }, i) => i > 0 && gear > engaged[i - 1]!.gear);
}

/** Records in the inside of a flow. */
function insideFlow(samples: readonly LogSample[]): LogSample[] {
  const flows = spansOf(samples, ({ mode }) => mode === FLOWING);
  return samples.filter(({ time = 0 }) =>
    flows.some(({ fromS, toS }) => time >= fromS + AFTER_OPENING_S && time <= toS - BEFORE_SHUT_S),
  );
}

/** Undefined where it cannot be seen. More than a step of the gearbox reads as the next gear, so the true slip may be higher. */
export function mostSlip({ samples, settings, car }: Reviewed): MostSlip | undefined {
  const road = settings?.road as { sender: string } | undefined;
  if (!car || road?.sender !== "undriven-wheel") return undefined;
  let most: MostSlip | undefined;
  for (const sample of insideFlow(samples)) {
    if ((sample.roadSpeed ?? 0) < LEAST_KMH) continue;
    const slip = inGear(car.data, sample)?.slip;
    if (slip !== undefined && slip > (most?.slip ?? Number.NEGATIVE_INFINITY))
      most = { slip, atS: sample.time! };
  }
  return most;
}
