// The records of a stored run as a replay needs them, each with the tick in which the core wrote it.
import type { LogSample } from "#host/logbook/sample.ts";
import { LOG_COLUMNS, LOG_EVERY_MS } from "#shared-schema/link/columns.ts";
import type { Said } from "./said.ts";

/** One record: what the controller said, and what it measured, in SI units but for km/h and rpm; pressures of bottle and fuel gauge. */
export interface Recorded extends Said {
  readonly switches: number;
  readonly engineRpm: number;
  readonly roadKmh: number;
  readonly manifoldPa: number;
  readonly bottlePa: number;
  readonly fuelPa: number;
  readonly lambda: number;
  readonly batteryV: number;
  /** 0 to 1. */
  readonly throttle: number;
}

const STAGES = [1, 2, 3, 4] as const;
/** The core cuts what is left off a count; the middle of the count is nearest to what was measured. */
const MIDDLE = 0.5;
const PERMILLE_PER_PERCENT = 10;
const SCALE = Object.fromEntries(LOG_COLUMNS.map(({ name, scale }) => [name, scale]));

/** The first record of a hundredth of a second is the one that was due; any other came somewhere within it. */
function tickOf(time: number): number {
  const ms = Math.round(time * 1000);
  if (ms === 0) return 1;
  const within = ms % LOG_EVERY_MS;
  return within === 0 ? ms : ms - within + MIDDLE * LOG_EVERY_MS;
}

function recordedOf(sample: LogSample): Recorded {
  const value = (name: string): number => sample[name]!;
  const middle = (name: string): number => value(name) + MIDDLE * SCALE[name]!;
  return {
    tick: tickOf(value("time")),
    mode: value("mode"),
    trip: value("trip"),
    reasons: value("reasons"),
    shares: STAGES.map((s) => value(`share${s}`) * PERMILLE_PER_PERCENT),
    switches: value("switches"),
    engineRpm: value("engineSpeed"),
    roadKmh: value("roadSpeed"),
    manifoldPa: middle("manifold") * 1e3,
    bottlePa: middle("bottle") * 1e3,
    fuelPa: middle("fuel") * 1e3,
    lambda: middle("lambda"),
    batteryV: middle("battery"),
    throttle: Math.min(1, middle("throttle") / 100),
  };
}

/** A run's records, in their order. */
export const recordedRun = (samples: readonly LogSample[]): Recorded[] => samples.map(recordedOf);
