// One run in a closed loop, with everything that a person may want to see of it.

import { STAGES } from "#shared-schema/model/pins.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import type { Edge } from "../board/pins.ts";
import type { Rehearsal, Seen } from "../rehearsal.ts";
import { ClosedLoop, type LoopOptions } from "./closed-loop.ts";
import { type DriveOptions, drive } from "./drive.ts";
import { GO_S } from "./script.ts";
import type { TimeSlip } from "./time-slip.ts";
import { type Held, heldOff, type Said, tripped, type Wheelspin } from "./watches.ts";

/** The car and its supply at one moment; speeds in km/h, pressures gauge in kPa, shares 0 to 1 by stage. */
export interface Sample extends Seen {
  readonly carKmh: number;
  readonly wheelKmh: number;
  readonly slip: number;
  /** From 1. */
  readonly gear: number;
  readonly distanceM: number;
  readonly bottleKpa: number;
  readonly fuelKpa: number;
  /** Share that the core asks of each stage now. */
  readonly asked: readonly number[];
}

/** A whole run. Times in s since the loop began but for those of the slip. */
export interface Run extends Rehearsal {
  readonly samples: readonly Sample[];
  /** When the car began to move; undefined when it did not. */
  readonly startS: number | undefined;
  readonly overS: number;
  readonly slip: TimeSlip;
  readonly spin: Wheelspin;
  readonly said: readonly Said[];
  /** Between the launch switch and the end of the run. */
  readonly held: readonly Held[];
  readonly trips: readonly string[];
  readonly drawnKg: number;
}

export interface RehearseOptions extends LoopOptions, Omit<DriveOptions, "watch"> {}

const KMH = 3.6;
const KPA = 1e-3;
const SAMPLE_EVERY = 2;

function sampleOf(loop: ClosedLoop, stages: number): Sample {
  const { motion, supply, controller, reader } = loop;
  return {
    s: loop.nowS,
    pedal: motion.pedal,
    armed: reader.controls.arm,
    rpm: motion.engineRpm,
    kmh: loop.roadMS * KMH,
    kpa: motion.manifoldPa * KPA,
    volts: supply.batteryV,
    carKmh: motion.speedMS * KMH,
    wheelKmh: motion.wheelMS * KMH,
    slip: motion.slip,
    gear: motion.gear + 1,
    distanceM: motion.distanceM,
    bottleKpa: supply.bottlePa * KPA,
    fuelKpa: supply.fuelPa * KPA,
    asked: Array.from({ length: stages }, (_, s) => controller.sharePermille(s) / 1000),
  };
}

const stagesOf = (settings: Document): number => (settings.stages as unknown[]).length;

/** Drives a controller that has the settings through a script, and keeps what was seen. */
export function rehearse(options: RehearseOptions): Run {
  const loop = new ClosedLoop(options);
  const stages = stagesOf(options.settings);
  const samples: Sample[] = [sampleOf(loop, stages)];
  const { timer, spin, said, overS, endS } = drive(loop, {
    ...options,
    watch: (now) => {
      if (now.steps % SAMPLE_EVERY === 0) samples.push(sampleOf(now, stages));
    },
  });
  const { controller } = options;
  const pins = (which: 0 | 1): (readonly Edge[])[] =>
    Array.from({ length: STAGES }, (_, s) => controller.pinEdges(2 * s + which));
  return {
    samples,
    nitrous: pins(0),
    fuel: pins(1),
    relay: controller.relayEdges,
    endS,
    script: loop.reader.script,
    startS: timer.startS,
    overS,
    slip: timer.slip,
    spin: spin.spin,
    said: said.said,
    held: heldOff(said.said, GO_S, overS),
    trips: tripped(said.said),
    drawnKg: loop.supply.drawnKg,
  };
}
