// The longest time that a row of the catalogue allows, in the settings at hand.

import type { Interlock } from "#shared-schema/model/interlocks.ts";
import { unhandled } from "#shared-schema/model/unhandled.ts";
import type { TestBench } from "./test-bench.ts";

const LOST_PERIODS = 3;
const LOST_MOST_US = 60_000;
const MS = 1000;
/** [assumed] From the last keep-alive edge to the open contact: pump 5 ms, coil 5 ms, and a tick; see host/bench/board/outside/relay.ts. */
export const RELAY_US = 12_000;

/** An opened arm switch counts as off only after this: shorter is noise (docs/decisions/0018). */
const NOISE_US = 5_000;

/** Longest time from the cause to the open contact of the master relay, us, for pins that are low within `pinsUs`. */
export function relayAllowedUs(row: Interlock, pinsUs: number): number {
  return pinsUs + RELAY_US + (row.id === "ARM" ? NOISE_US : 0);
}

/** For each row whose time is a setting, that setting. Throws on any other row. */
function settingUs(id: string, bench: TestBench): number {
  const { lambda, bottleValve, stages } = bench.settings;
  if (id === "LEAN") return (lambda?.withinMs ?? 0) * MS;
  if (id === "VALVE") return (bottleValve?.opensWithinMs ?? 0) * MS;
  if (id === "ENRICH") return Math.max(0, ...stages.map((stage) => stage.enrichment?.withinMs ?? 0)) * MS;
  throw new Error(`which setting is the time of ${id} is not known here`);
}

function plusUs({ plus, id }: Interlock, bench: TestBench): number {
  const { stimulus, settings } = bench;
  const engineUs = 1e6 / stimulus.engineHz(stimulus.point.rpm);
  const roadUs = settings.road ? 1e6 / stimulus.roadHz(stimulus.point.deciKmh) : 0;
  if (plus === "three-engine-pulses") return 3 * engineUs;
  if (plus === "lost-engine") return Math.min(LOST_PERIODS * engineUs, LOST_MOST_US);
  if (plus === "cut-back") return 2 * roadUs + 1e6 / settings.flow.frequencyHz;
  if (plus === "setting") return settingUs(id, bench);
  if (plus === undefined || plus === "engine-pulse" || plus === "road-pulse" || plus === "four-pulses")
    return 0;
  return unhandled(plus);
}

/** Longest time to all solenoid pins low, us; `fromUs` where the fault decides what is added. Undefined where nothing can be flowing. */
export function allowedUs(row: Interlock, bench: TestBench, fromUs?: number): number | undefined {
  return row.withinUs === undefined ? undefined : row.withinUs + (fromUs ?? plusUs(row, bench));
}
